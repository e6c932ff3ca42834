//! The work, in order, as one would tell it to the one who does it.

use super::{Ask, Batch, Serving, When};
use crate::computed::ComputedDrink;
use crate::resolve::rounded;
use crate::spec::{Step, Technique};

pub(super) fn order(worked: &ComputedDrink, ask: &Ask, batch: &Batch) -> Vec<String> {
    let mut work = Vec::new();
    if !batch.shopping.make.is_empty() {
        let made: Vec<String> = batch
            .shopping
            .make
            .iter()
            .map(|m| format!("{} ({} ml)", m.preparation, rounded(m.volume_ml)))
            .collect();
        work.push(format!("make first: {}", made.join(", ")));
    }
    let volume = batch.vessel.volume_ml();
    let roomy = volume / (1.0 - batch.head_pct / 100.0);
    work.push(format!(
        "take a clean vessel of at least {} ml and measure in what is for the batch, from the top of the list: by weight on a \
         tared scale, or by jug",
        rounded(roomy)
    ));
    let (water, to_come) = (batch.water_ml, batch.water_to_come_ml);
    work.push(match batch.serving {
        _ if water <= 0.0 && to_come <= 0.0 => "add no water: the drink takes none".to_owned(),
        Serving::ToOrder => format!(
            "add no water: {} to order (each serve gains {} ml from its ice)",
            batch
                .technique
                .map_or("work each serve on ice", Technique::written),
            rounded(to_come)
        ),
        Serving::OverIce => format!(
            "add {} ml of water: three quarters of the melt, the ice in the glass gives the rest",
            rounded(water)
        ),
        Serving::Ready => format!(
            "add {} ml of water: the melt is in it, so it is poured and not {} again",
            rounded(water),
            match batch.technique {
                Some(Technique::Stir) => "stirred",
                Some(Technique::Shake | Technique::WhipShake) => "shaken on ice",
                _ => "worked on ice",
            }
        ),
    });
    work.push(if ask.keg {
        "stir until even, chill to 1 to 4 °C, fill the keg, charge it as its maker says, and let it rest"
            .to_owned()
    } else if let Some(celsius) = ask.freezer_c {
        format!("stir until even, bottle with a tenth of each bottle free, and freeze at {celsius:.0} °C")
    } else {
        "stir until even, taste, bottle, label, and keep at 5 °C or below".to_owned()
    });
    let adds: Vec<String> = batch
        .lines
        .iter()
        .filter(|l| l.when == When::Service)
        .map(|l| {
            let amount = if l.written.is_empty() {
                format!("{} ml", rounded(l.each_ml))
            } else {
                l.written.clone()
            };
            format!("{amount} {}", l.ingredient)
        })
        .collect();
    let mut pour = format!("a serve is {} ml of it", rounded(batch.pour_ml));
    if !adds.is_empty() {
        pour.push_str(&format!(", with {}", adds.join(", ")));
    }
    work.push(pour);
    let finish: Vec<String> = worked
        .drink
        .lines()
        .filter(|l| match &l.step {
            Step::Work(w) => batch.serving == Serving::ToOrder || !iced(w.technique),
            Step::Strain { .. } => batch.serving == Serving::ToOrder,
            Step::Ice(_) => batch.serving == Serving::ToOrder,
            Step::OverIce(_) | Step::Neat | Step::Unstrained | Step::Garnish(_) => true,
            Step::Pour(_) | Step::Rest(_) | Step::Prepare(_) => false,
        })
        .map(|l| l.step.to_string())
        .collect();
    let mut last = finish;
    if let Some(glass) = &worked.drink.glass {
        last.push(format!("in the {}", glass.name));
    }
    if let Some(garnish) = worked.drink.particular("garnish") {
        last.push(format!("garnish {garnish}"));
    }
    if !last.is_empty() {
        work.push(last.join(", "));
    }
    work
}

fn iced(technique: Technique) -> bool {
    !matches!(technique, Technique::Muddle | Technique::DryShake)
}
