//! Ways of typing a spec: letters, dictation, labels, other languages, headings. Forms invented here; no drink is
//! anybody's. What is not poured is kept as words, and what is poured is never among them.

use crate::typed::poured;
use washline_core::names::key;

/// Each body with its pours in order: a word of the name, and its volume in ml (0: any).
#[track_caller]
fn reads(cases: &[(&str, &[(&str, f64)])]) {
    let mut wrong = Vec::new();
    for (body, wanted) in cases {
        let pours = match poured(body) {
            Ok(pours) => pours,
            Err(faults) => {
                wrong.push(format!("{body}\n   {faults:?}"));
                continue;
            }
        };
        let same = pours.len() == wanted.len()
            && pours.iter().zip(*wanted).all(|((name, ml), (word, volume))| {
                key(name).contains(&key(word)) && (*volume == 0.0 || (ml - volume).abs() < 0.02 * volume)
            });
        if !same {
            wrong.push(format!("{body}\n   {pours:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn dictated_and_in_letters() {
    reads(&[
        (
            "so it's a hundred and twenty mils of tomato juice, then fifty of the house vodka that we keep cold. roll it",
            &[("tomato", 120.0), ("vodka", 50.0)],
        ),
        (
            "Morning all, this is the final one for the terrace. We pour 45ml of the gin (47%), 25ml fresh lemon and 15 of the honey syrup. Shake hard",
            &[("gin", 45.0), ("lemon", 25.0), ("honey", 15.0)],
        ),
        (
            "half an ounce of banana liqueur a quarter ounce of walnut liqueur two ounces of rye\nstir",
            &[("banana", 14.79), ("walnut", 7.39), ("rye", 59.15)],
        ),
        (
            "50 gin, 25 lemon, 20 sugar\nshake\ntry 30 lemon next time\nno egg, dont ask",
            &[("gin", 50.0), ("lemon", 25.0), ("simple", 20.0)],
        ),
    ]);
}

#[test]
fn labels_headings_and_bullets() {
    reads(&[
        (
            "ENTRY No. 17\nCATEGORY: short\nBase: 45 ml mezcal\nSweetener: 5 ml agave syrup\nTechnique: stirred\nAllergens declared: sulphites, celery",
            &[("mezcal", 45.0), ("agave", 5.0)],
        ),
        (
            "INGREDIENTS\n40 ml cognac\n20 ml lemon juice\nMETHOD\nShake, fine strain.\nSTORY\nMy aunt drew maps of 2 islands.\nALLERGENS\nEgg, nuts",
            &[("cognac", 40.0), ("lemon", 20.0)],
        ),
        (
            "[x] gin 50 ml\n[ ] lime 20 ml\n>> SHAKE / STRAIN\n>> TOP SODA",
            &[("gin", 50.0), ("lime", 20.0), ("soda", 0.0)],
        ),
        (
            "Step 1: pour 40 ml rum\nStep 2: Add 60 ml mango puree.\nStep 3: Blend with 1 scoop (about 200 g) crushed ice",
            &[("rum", 40.0), ("mango", 60.0)],
        ),
        (
            "gin 40 %\nsweet vermouth 30 %\nred bitter 30 %\nserve: 100 ml\nstir",
            &[("gin", 40.0), ("vermouth", 30.0), ("bitter", 30.0)],
        ),
    ]);
}

#[test]
fn said_after_and_beside() {
    reads(&[
        (
            "45 gin, 15 lemon, 60 soda\nbuild over ice, top, stir once",
            &[("gin", 45.0), ("lemon", 15.0), ("soda", 60.0)],
        ),
        (
            "50 rye, pinch salt and pepper\nstir",
            &[("rye", 50.0), ("salt", 0.0), ("pepper", 0.0)],
        ),
        (
            "gin : fino : lime = 3 : 1 : 1\n1 part = 15 ml\nshake",
            &[("gin", 45.0), ("fino", 15.0), ("lime", 15.0)],
        ),
        (
            "2 heaped tbsp honey, 50 ml whisky (43 %), 20 ml lem, 2 slices cuc\nshake",
            &[
                ("honey", 0.0),
                ("whisky", 50.0),
                ("lemon", 20.0),
                ("cucumber", 0.0),
            ],
        ),
    ]);
}

#[test]
fn in_other_languages() {
    reads(&[
        (
            "4 cl Gin, 2 cl Zitronensaft, 1 cl Zuckersirup, schütteln",
            &[("gin", 40.0), ("lemon", 20.0), ("syrup", 10.0)],
        ),
        (
            "Tequila blanco 5 cl, zumo de lima 2,5 cl, sirope de agave 1 cl, agitar",
            &[("tequila", 50.0), ("lime", 25.0), ("agave", 10.0)],
        ),
        (
            "4 cl rhum blanc, 2 cl jus de citron vert, 1 cl sirop de sucre\nshake",
            &[("rum", 40.0), ("lime", 20.0), ("syrup", 10.0)],
        ),
    ]);
}

/// A row with an amount is never taken for the headings of a table.
#[test]
fn columns_without_headings_lose_no_row() {
    reads(&[
        (
            "gin   4 cl\naquavit   1 cl\nfino   2 cl\nstir",
            &[("gin", 40.0), ("aquavit", 10.0), ("fino", 20.0)],
        ),
        (
            "2    reposado\n1    pineapple\n.75  lime\nshake",
            &[("reposado", 59.15), ("pineapple", 29.57), ("lime", 22.18)],
        ),
    ]);
}

/// An ordinary word that is one letter from a word of the trade is not taken for it.
#[test]
fn an_ordinary_word_is_no_slip() {
    reads(&[(
        "40 ml rum, 150 ml oat milk steamed to 65 C\nstir\nwhisk and funnel it",
        &[("rum", 40.0), ("oat", 150.0)],
    )]);
}

/// Words set aside may hold no amount of a known thing: a pour among them is a pour.
#[test]
fn prose_hides_no_pour() {
    for line in [
        "that we keep cold and then 20 ml lime for the acid",
        "Mixer : kokum juice 90 ml",
        "Soda, add last: 80 ml",
        "add a jigger and a half of rye for the guests",
        "cream (30, lightly whipped)",
    ] {
        let body = format!("50 ml gin\n{line}\nshake");
        match poured(&body) {
            Err(_) => {}
            Ok(pours) => assert!(pours.len() > 1, "{line}: {pours:?}"),
        }
    }
}

/// Shortenings of a rail, spoons counted in words, and how it is served behind the label.
#[test]
fn a_rail_writes_short_and_a_label_may_say_how_it_is_served() {
    let spec = "1.5 oz bbn\n1/2 oz heavy crm\n1 egg wht\ntwo barspoonfuls of sugar syrup\nshake, strain\nServe: coupe\n";
    let looked = washline_core::check(&format!("# Rail\n\n## Night Shift\n{spec}")).unwrap();
    let drink = &looked[0];
    let poured: Vec<String> = drink.pours().iter().map(|p| p.ingredient.clone()).collect();
    assert_eq!(poured[0], "bourbon whiskey");
    assert_eq!(poured[1], "heavy cream");
    assert!(poured[2].starts_with("egg white"), "{poured:?}");
    assert_eq!(poured.len(), 4);
    let glass = drink.evaluation.glass.as_ref().unwrap();
    assert_eq!(glass.name, "coupe");
}
