use std::path::PathBuf;
use washline_core::names::Expected;

use clap::{Args, ValueEnum};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::{Portion, SoldBy};
use washline_core::measure::Ounce;
use washline_core::names::{key, nearest};
use washline_core::service::batch::{self, Ask, BatchError, Size, Weight, event};

use super::only::Only;
use super::price::OptionFaults;
use super::{Call, show};
use crate::asked::NONE_HOLDS;
use crate::error::CliError;
use crate::output::Output;
use crate::render;

/// For so many serves, into this vessel, or from this bottle: what goes in, how much water, what to buy, in what order?
///
/// What fizzes, egg and fresh fruit and herbs are added at service; citrus too once it is held past its best. Stirred
/// drinks get the water of their melt and are poured ready; what is shaken or built is worked to order, with no water in
/// the batch. Bitters are scaled like everything else unless a factor is given. With --menu: a whole event.
///
/// Example: washline batch "Platform Fog" --serves 20
#[derive(Debug, Args)]
pub struct Batches {
    /// The drink; with --menu the drinks, or all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// So many serves.
    #[arg(long, value_name = "N")]
    serves: Option<u32>,
    /// As many whole serves as go into this vessel below its head space, `5 l`; with --serves, the vessel they go into.
    #[arg(long, value_name = "VOLUME")]
    into: Option<String>,
    /// All of a bottle, `700 ml`, of the ingredient named after it, or of the one that brings most alcohol.
    #[arg(long, value_name = "VOLUME [NAME]", conflicts_with = "serves")]
    from_bottle: Option<String>,

    /// How it is served: with all of the water in it, three quarters, or none.
    #[arg(long, value_enum, value_name = "HOW")]
    serving: Option<Serving>,
    /// Carbonated as a whole in a keg: soda becomes still water.
    #[arg(long)]
    keg: bool,
    /// Kept in the freezer, at -18 °C unless another temperature is given (`--freezer=-24`).
    #[arg(long, value_name = "CELSIUS", num_args = 0..=1, default_missing_value = "-18", require_equals = true)]
    freezer: Option<String>,
    /// Held for so many hours before it is poured; 4 unless given.
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    hold: Option<String>,
    /// Scale bitters by this besides; nothing else ever is.
    #[arg(long, value_name = "FACTOR", allow_negative_numbers = true)]
    bitters: Option<String>,
    /// Room left free in the vessel, %.
    #[arg(long, value_name = "PCT", allow_negative_numbers = true)]
    head: Option<String>,

    /// A whole event: batches, preparations, shopping and ice for the drinks named, or for all.
    #[arg(long, requires = "guests", conflicts_with_all = ["serves", "into", "from_bottle"])]
    menu: bool,
    /// So many guests.
    #[arg(long, value_name = "N", requires = "menu")]
    guests: Option<u32>,
    /// So many drinks each.
    #[arg(long, value_name = "N", requires = "menu", allow_negative_numbers = true)]
    each: Option<String>,
    /// For so many hours, at one drink an hour for each guest (the trade's rule of thumb, READ).
    #[arg(
        long,
        value_name = "HOURS",
        requires = "menu",
        conflicts_with = "each",
        allow_negative_numbers = true
    )]
    hours: Option<String>,
    /// More of one drink than of the others: its name, `=`, and its share where each other has 1.
    #[arg(long, value_name = "NAME=SHARE", requires = "menu")]
    weight: Vec<String>,

    #[command(flatten)]
    only: Only,

    /// Look in this book and not in the house; `-` for standard input. Prices are the house's all the same.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// The list the drink stands in, where several have one of that name.
    #[arg(long, value_name = "TITLE")]
    of: Option<String>,
}

/// How a batch is served.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Serving {
    /// Poured as it is, cold: all of the water is in it.
    Ready,
    /// Poured over ice that goes on melting: three quarters of the water are in it.
    OverIce,
    /// Stirred, shaken or built on ice to order: no water is in it.
    ToOrder,
}

impl From<Serving> for batch::Serving {
    fn from(serving: Serving) -> batch::Serving {
        match serving {
            Serving::Ready => batch::Serving::Ready,
            Serving::OverIce => batch::Serving::OverIce,
            Serving::ToOrder => batch::Serving::ToOrder,
        }
    }
}

/// What is asked, read.
struct Asked {
    ask: Ask,
    each: f64,
    weights: Vec<Weight>,
}

impl Batches {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let opened = show::open(call, self.book.as_ref())?;
        let ounce = opened.drink_source.settings()?.ounce.unwrap_or_default();
        let asked = self.asked(ounce)?;
        let prices = opened.prices(call)?;
        if let Some(title) = &self.of
            && !opened.drink_source.has_list(title)?
        {
            return Err(CliError::input(format!("no list `{title}` here")).after(opened.notes));
        }
        let (opened, names) = show::full_names(opened, &self.names)?;
        let (worked, left_out) =
            self.only
                .drinks_of(call, &opened.drink_source, &names, self.of.as_deref())?;
        if worked.is_empty()
            && !self.only.is_a_part()
            && let Some(name) = names.first()
        {
            return Err(match &self.of {
                Some(title) => show::not_on(name, title),
                None => show::unknown(opened, name)?,
            });
        }
        let out = if self.menu {
            if let Some(stray) = asked
                .weights
                .iter()
                .find(|w| !worked.iter().any(|d| key(d.name()) == key(&w.drink)))
            {
                let near = nearest(&stray.drink, worked.iter().map(|d| (d.name(), d.name())), 3);
                return Err(
                    CliError::usage(format!("--weight: no drink `{}` is on it", stray.drink)).near(&near),
                );
            }
            let event = event(
                &worked,
                self.guests.unwrap_or(0),
                asked.each,
                &asked.weights,
                &asked.ask,
                &prices,
            );
            if call.json {
                render::written(&washline_view::batch::Batched::event(&event, &opened.faults))
            } else {
                render::batch::event(&event)
            }
        } else {
            let one = only(&worked)?;
            let made = batch::batch(one, &asked.ask, &prices).map_err(refused)?;
            if call.json {
                render::written(&washline_view::batch::Batched::single(&made, &opened.faults))
            } else {
                render::batch::in_full(&made)
            }
        };
        let mut output = opened.leave(out);
        output.notes.push_str(&left_out);
        Ok(output)
    }

    /// The options as figures; everything wrong with them at once.
    fn asked(&self, ounce: Ounce) -> Result<Asked, CliError> {
        let mut wrongs = OptionFaults::default();
        let volume = |text: &str| match Portion::read(text, ounce) {
            Ok(portion) if portion.by == SoldBy::Volume => Ok(portion.amount.to_f64()),
            _ => Err(Expected::new("expected a volume such as `5 l` or `700 ml`")),
        };
        let into = wrongs.maybe("into", self.into.as_ref(), volume);
        let bottle = wrongs.maybe("from-bottle", self.from_bottle.as_ref(), |text| {
            bottle(text, ounce)
        });
        let number = |text: &str, least: f64, most: f64, example: &str| match text.trim().parse::<f64>() {
            Ok(n) if (least..=most).contains(&n) => Ok(n),
            _ => Err(Expected::new(format!(
                "expected a number from {least} to {most} such as `{example}`"
            ))),
        };
        let freezer_c = wrongs.maybe("freezer", self.freezer.as_ref(), |t| {
            number(t.trim_end_matches(['C', 'c', '°', ' ']), -60.0, 0.0, "-18")
        });
        let hold_hours = wrongs.maybe("hold", self.hold.as_ref(), |t| {
            number(t.trim_end_matches(['h', ' ']), 0.0, 8760.0, "24")
        });
        let bitters = wrongs.maybe("bitters", self.bitters.as_ref(), |t| number(t, 0.0, 10.0, "0.5"));
        let head_pct = wrongs.maybe("head", self.head.as_ref(), |t| {
            number(t.trim_end_matches(['%', ' ']), 0.0, 90.0, "10")
        });
        let each = wrongs.maybe("each", self.each.as_ref(), |t| number(t, 0.01, 100.0, "2.5"));
        let hours = wrongs.maybe("hours", self.hours.as_ref(), |t| {
            number(t.trim_end_matches(['h', ' ']), 0.01, 72.0, "4")
        });
        let weights = self
            .weight
            .iter()
            .filter_map(|text| wrongs.take("weight", text, weight(text)))
            .collect();
        for (option, count) in [("serves", self.serves), ("guests", self.guests)] {
            if let Some(n) = count.filter(|n| *n == 0 || *n > 1_000_000) {
                wrongs.say(format!("--{option} {n}: expected 1 to 1000000"));
            }
        }
        if self.menu {
            if self.each.is_none() && self.hours.is_none() {
                wrongs.say("--menu: how many drinks? expected --each N or --hours H");
            }
        } else if self.names.len() != 1 {
            wrongs.say("a batch of what? expected one NAME, or --menu --guests N --each N");
        }
        let size = match (self.serves, bottle, into) {
            (Some(serves), ..) => Some(Size::Serves(serves)),
            (None, Some((ml, of)), _) => Some(Size::FromBottle { ml, of }),
            (None, None, Some(ml)) => Some(Size::Into(ml)),
            (None, None, None) => None,
        };
        if size.is_none() && !self.menu && self.into.is_none() && self.from_bottle.is_none() {
            wrongs.say("how much? expected --serves N, --into VOLUME or --from-bottle VOLUME");
        }
        wrongs.done()?;
        let mut ask = Ask::of(size.unwrap_or(Size::Serves(1)));
        ask.vessel_ml = into;
        ask.serving = self.serving.map(Into::into);
        ask.keg = self.keg;
        ask.freezer_c = freezer_c;
        ask.hold_hours = hold_hours.unwrap_or(ask.hold_hours);
        ask.bitters_factor = bitters.unwrap_or(1.0);
        ask.head_pct = head_pct;
        Ok(Asked {
            ask,
            each: each.or(hours).unwrap_or(1.0),
            weights,
        })
    }
}

/// `700 ml`, `700 ml dry gin`.
fn bottle(text: &str, ounce: Ounce) -> Result<(f64, Option<String>), Expected> {
    let words: Vec<&str> = text.split_whitespace().collect();
    for taken in (1..=words.len().min(2)).rev() {
        if let Ok(portion) = Portion::read(&words[..taken].join(" "), ounce)
            && portion.by == SoldBy::Volume
        {
            let of = words[taken..].join(" ");
            return Ok((portion.amount.to_f64(), Some(of).filter(|of| !of.is_empty())));
        }
    }
    Err(Expected::new(
        "expected a bottle such as `700 ml` or `700 ml dry gin`",
    ))
}

/// `Platform Fog=2`.
fn weight(text: &str) -> Result<Weight, Expected> {
    const EXPECTED: &str = "expected a drink and its share such as `Platform Fog=2`";
    let (drink, share) = text.rsplit_once('=').ok_or(EXPECTED)?;
    let share: f64 = share.trim().parse().map_err(|_| Expected::new(EXPECTED))?;
    if !(0.0..=1000.0).contains(&share) {
        return Err(Expected::new("expected a share from 0 to 1000"));
    }
    Ok(Weight {
        drink: drink.trim().to_owned(),
        share,
    })
}

/// The one drink of that name.
fn only(worked: &[ComputedDrink]) -> Result<&ComputedDrink, CliError> {
    match worked {
        [one] => Ok(one),
        [] => Err(CliError::input(NONE_HOLDS)),
        several => Err(show::on_several(several)),
    }
}

fn refused(error: BatchError) -> CliError {
    let near = match &error {
        BatchError::NoSuchBase { near, .. } => near.clone(),
        _ => Vec::new(),
    };
    CliError::input(error.to_string()).near(&near)
}
