//! Ways of typing a spec: letters, dictation, labels, other languages, headings. Forms invented here; no drink is
//! anybody's. What is not poured is kept as words, and what is poured is never among them.

use crate::typed::poured;
use washline_core::computed::{Bar, look_at};
use washline_core::names::key;
use washline_core::spec::Source;

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
        (
            "3 cl Weinbrand\n2 cl Walnusslikör\n12 cl heiße Schokolade\n2 cl geschlagene Sahne\nIm Teeglas servieren.",
            &[
                ("brandy", 30.0),
                ("walnut", 20.0),
                ("chocolate", 120.0),
                ("cream", 20.0),
            ],
        ),
        (
            "5 cl weißer Traubensaft\n1,5 cl Rhabarbersirup\nSodawasser zum Auffüllen\nDeko: Weintrauben",
            &[("grape", 50.0), ("rhubarb", 15.0), ("soda", 0.0)],
        ),
        (
            "45 ml ron añejo\n15 ml licor de café\n2 dashes bitter de chocolate\n100 ml café caliente\nServir en taza caliente",
            &[
                ("rum", 45.0),
                ("coffee liqueur", 15.0),
                ("chocolate bitters", 0.0),
                ("coffee", 100.0),
            ],
        ),
        (
            "40 ml mezcal\n20 ml jugo de mandarina\n10 ml jarabe de canela\ntop agua mineral\nShakear, colar a vaso highball con hielo",
            &[
                ("mezcal", 40.0),
                ("mandarin", 20.0),
                ("cinnamon", 10.0),
                ("mineral", 0.0),
            ],
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

#[test]
fn amounts_led_to_their_names_and_codes_of_the_rail() {
    reads(&[
        (
            "1½ OZ – RUM, GOLD\n2 OZ – JUICE, PINEAPPLE\n½ OZ – JUICE, LIME (FRESH)\n¼ OZ – RUM, OVERPROOF 63% (FLOAT)\n1. SHAKE 8 SEC\nGLASS: MARTINI 6 OZ, CHILLED",
            &[
                ("gold rum", 44.36),
                ("pineapple", 59.15),
                ("lime", 14.79),
                ("rum", 7.39),
            ],
        ),
        (
            "1.5 vod / .5 TS / 1 cran / .5 LJ\nshk, str coupe",
            &[
                ("vodka", 44.36),
                ("triple sec", 14.79),
                ("cranberry", 29.57),
                ("lime", 14.79),
            ],
        ),
        (
            "2 rye / .75 SV / 2 dsh AB / 1 dsh OB\nstir",
            &[
                ("rye", 59.15),
                ("sweet red vermouth", 22.18),
                ("aromatic", 0.0),
                ("orange bitters", 0.0),
            ],
        ),
        (
            "1 dk rum / 1 gold rum / 1 OJ / .25 151 rum float\nshake all but 151, strain over ice, float 151",
            &[
                ("dark rum", 29.57),
                ("gold rum", 29.57),
                ("orange", 29.57),
                ("rum", 7.39),
            ],
        ),
        (
            "Gin……30ml\nLemon juice……10ml\nSoda……full up\nCrushed ice……1cup",
            &[("gin", 30.0), ("lemon", 10.0), ("soda", 0.0)],
        ),
        (
            "1 pt gin\n1 pt bianco vermouth\n2 pt tonic\nbuild",
            &[("gin", 45.0), ("bianco", 45.0), ("tonic", 90.0)],
        ),
        (
            "two dashes of aromatic bitters and one of absinthe, two ounces of rye\nstir",
            &[("aromatic", 0.0), ("absinthe", 0.92), ("rye", 59.15)],
        ),
    ]);
}

#[test]
fn how_a_thing_is_made_below_its_drink() {
    reads(&[
        (
            "45 ml gin\n20 ml pear cordial*\n20 ml lemon juice\nshake\n*Homemade: Pear cordial - 500 g pear juice, 400 g caster sugar, 5 g malic acid. Blend, rest 2 hours, fine strain. Keeps 10 days.",
            &[("gin", 45.0), ("pear cordial", 20.0), ("lemon", 20.0)],
        ),
        (
            "60 g brown butter bourbon\n8 g maple syrup\nstir\nPrep: brown butter bourbon = 100 g brown butter + 700 g bourbon, rest overnight, filter",
            &[("bourbon", 0.0), ("maple", 0.0)],
        ),
        (
            "20 ml pear cordial\n45 ml gin\nshake\nPreparation: pear cordial - 500 g pear juice, 400 g caster sugar, rest overnight, filter",
            &[("pear cordial", 20.0), ("gin", 45.0)],
        ),
        (
            "35 ml tarragon vodka\n15 ml lime juice\nshake\nTarragon vodka: 30 g of tarragon leaves for 700 ml of vodka 40 %, blend 1 min, filter.",
            &[("vodka", 35.0), ("lime", 15.0)],
        ),
        (
            "40 ml tequila\n30 ml watermelon juice\nshake\nWatermelon juice: approx 3 large melons, blitz, sieve, morning of.",
            &[("tequila", 40.0), ("watermelon", 30.0)],
        ),
        (
            "30 ml cognac\n25 ml cream\nshake\nChange log rev 4: cream reduced from 40 to 25 ml, guests found it heavy",
            &[("cognac", 30.0), ("cream", 25.0)],
        ),
        (
            "45 ml gin\n22.5 ml lemon juice\nshake\nYesterday I did 25 ml of lemon, it covered the gin.",
            &[("gin", 45.0), ("lemon", 22.5)],
        ),
    ]);
}

#[test]
fn prose_below_a_list_measures_nothing_by_itself() {
    reads(&[
        (
            "40 ml gin\n20 ml lime juice\nPreparation: 1) Dry shake all liquids. 2) Add cube ice, shake 30 turns. 3) Double strain.",
            &[("gin", 40.0), ("lime", 20.0)],
        ),
        (
            "- Gin 4 ltr\n- Lemon juice 2 ltr\nMakes 100 x 60 ml\nTotal 6 ltr, 2 x 5 ltr jerrycans, keep cold.\nOn site: shake 60 ml hard with ice, coupe.",
            &[("gin", 40.0), ("lemon", 20.0)],
        ),
        (
            "40 ml blanco tequila\n60 ml soda water\nMethod: Build over ice, add the soda last, one lift with a barspoon",
            &[("tequila", 40.0), ("soda", 60.0)],
        ),
        (
            "30 ml espresso\n40 ml vodka\n1. Pull a fresh espresso.\n2. Shake with ice.",
            &[("espresso", 30.0), ("vodka", 40.0)],
        ),
        (
            "45 ml gin\n1 egg white\n20 ml lemon juice\nhard shake because of egg\n(egg)\n* Egg allergy: please ask before making.",
            &[("gin", 45.0), ("egg white", 0.0), ("lemon", 20.0)],
        ),
        (
            "5 ml absinthe (rinse, discard excess)\n60 ml rye\nRinse the chilled glass with absinthe. Stir the rest over ice",
            &[("rye", 60.0), ("absinthe", 5.0)],
        ),
        (
            "150 ml gin\n100 ml elderflower cordial\n75 ml lemon juice\nServes 5\nStir gin, cordial and lemon with ice",
            &[("gin", 30.0), ("elderflower", 20.0), ("lemon", 15.0)],
        ),
        (
            "60 ml dry white wine\ncloudberry liqueur to taste\nbuild, top with soda",
            &[("white wine", 60.0), ("liqueur", 15.0), ("soda", 0.0)],
        ),
    ]);
}

#[test]
fn sentences_end_and_what_is_named_twice_is_poured_once() {
    reads(&[
        (
            "45 ml aged rum, 150 ml hot coffee, stir. Float 30 ml whipped cream off the back of a spoon. Nutmeg.",
            &[("rum", 45.0), ("coffee", 150.0), ("cream", 30.0)],
        ),
        (
            "- 200 ml rosé vermouth\n- 300 ml soda\nServes 4\nBuild in the jug over ice, pour into wine glasses. Strawberries, grapefruit slices.",
            &[("rosé vermouth", 50.0), ("soda", 75.0)],
        ),
        (
            "2 oz rye\n1 barspoon rich syrup\nabsinthe rinse\nStir, strain into a chilled, absinthe-rinsed rocks glass",
            &[("rye", 59.15), ("rich", 0.0), ("absinthe", 1.0)],
        ),
        (
            "METHOD\n1. Shake all except the soda and strain over ice.\n2. Charge with soda.\nINGREDIENTS\n50 ml genever\n20 ml lemon juice\n60 ml soda water",
            &[("genever", 50.0), ("lemon", 20.0), ("soda", 60.0)],
        ),
        (
            "3 parts rye\n2 parts oloroso\n(scale so it's 75 ml before ice)\nstir",
            &[("rye", 45.0), ("oloroso", 30.0)],
        ),
        (
            "50 ml brown butter bourbon*\n10 ml maple syrup\nstir\n*brown butter bourbon: 150 g browned butter to 700 ml bourbon, 3 h at room temp, lift the fat and filter.",
            &[("bourbon", 50.0), ("maple", 10.0)],
        ),
        (
            "Keg. Yields 30 x 150 ml\nVodka 1.2 L\nLemon juice 900 ml\nWater 2.4 L\nCarbonate at 40 psi.",
            &[("vodka", 40.0), ("lemon", 30.0), ("water", 80.0)],
        ),
        (
            "30 ml gin\n60 ml prosecco\nsplash soda\nbuild",
            &[("gin", 30.0), ("sparkling", 60.0), ("soda", 15.0)],
        ),
    ]);
}

#[test]
fn degrees_brix_stand_over_what_is_listed() {
    let sugar = |line: &str| {
        let drinks = washline_core::check(&format!("# T\n\n## D\n- 60 ml gin\n- {line}\n- shake\n")).unwrap();
        drinks[0].built.glass.sugar_g()
    };
    // g of sugar in 20 ml: Bubník et al., Sugar Technologists Manual, 1995, p. 164, the equation evaluated by an
    // implementation of its own (`fixtures/reference/sucrose_table.csv`, COMPUTED): 855.76 and 614.83 g/L.
    assert!((sugar("20 ml syrup 65 °Bx") - 0.020 * 855.76).abs() < 0.1);
    assert!((sugar("20 ml simple syrup (50 Bx)") - 0.020 * 614.83).abs() < 0.1);
    assert!(sugar("20 ml honey syrup (70 Bx)") > 1.25 * sugar("20 ml honey syrup 1:1"));
}

/// Several people talk a drink over: the last word counts, and a list said anew stands for all before it.
#[test]
fn a_talk_ends_in_its_last_word() {
    reads(&[
        (
            "P: 45 gin 20 lemon 20 honey syrup?\nQ: try 25 lemon\nP: 25 lemon. shake, coupe\nQ: good",
            &[("gin", 45.0), ("lemon", 25.0), ("honey", 20.0)],
        ),
        (
            "T: 50 rum 25 lime 20 simple syrup\nU: falernum syrup instead?\nT: so 50 rum, 25 lime, 15 falernum syrup\nU: shake, rocks over ice",
            &[("rum", 50.0), ("lime", 25.0), ("falernum", 15.0)],
        ),
    ]);
}

/// What the method says again is poured once, and goes where the method puts it.
#[test]
fn what_a_method_says_again_is_poured_once() {
    reads(&[
        (
            "60 ml gin\n20 ml elderflower cordial\nSplash of soda water\n\n1. Build over ice\n2. Splash of soda on top",
            &[("gin", 60.0), ("elderflower", 20.0), ("soda", 15.0)],
        ),
        (
            "50 ml cachaça\n20 ml lime juice\n2 dashes aromatic bitters\nSwizzle all but the bitters with crushed ice, then dash the bitters over the top.",
            &[("cachaça", 50.0), ("lime", 20.0), ("bitters", 1.85)],
        ),
        (
            "45 ml pisco\n20 ml lemon juice\n15 ml pear syrup\nAdd the 45 ml of pisco, the lemon and the syrup, shake and strain.",
            &[("pisco", 45.0), ("lemon", 20.0), ("pear", 15.0)],
        ),
        (
            "40 ml bourbon\n20 ml amaro\nSoda water\nShare the bourbon and the amaro between glasses. Top with a splash of soda.",
            &[("bourbon", 40.0), ("amaro", 20.0), ("soda", 15.0)],
        ),
        (
            "40 ml gold rum\n10 ml 151-proof demerara rum, floated\n60 ml pineapple juice\nShake all but the 151, pour into a highball and float the 151.",
            &[("gold rum", 40.0), ("pineapple", 60.0), ("demerara", 10.0)],
        ),
        (
            "3 cl cognac\n1 sugar cube\n10 cl brut champagne\nPut the sugar cube in the flute, add the cognac, fill up with champagne very cold.",
            &[("cognac", 30.0), ("sugar", 0.0), ("sparkling", 100.0)],
        ),
    ]);
}

/// A story over a list that has a heading, and how what it pours is made below, pour nothing.
#[test]
fn a_story_and_a_recipe_pour_nothing() {
    reads(&[
        (
            "Every harvest my uncle opened a bottle of cider and cut the apples while we sang.\n\nIngredients\n40 ml calvados\n20 ml walnut leaf rum (homemade)\n\nMethod\nStir and strain.\n\nHomemade walnut leaf rum: 30 g walnut leaves in 700 ml rum, two days, then strain.",
            &[("calvados", 40.0), ("walnut leaf", 20.0)],
        ),
        (
            "50 g gin\n25 g pickled plum juice (3 % salt, 4 days)\n10 g honey\nEverything in a shaker with plenty of ice, hard. Strain into a coupe.",
            &[("gin", 52.7), ("plum", 0.0), ("honey", 6.98)],
        ),
        (
            "INGREDIENTS\n40 ml gin\n20 ml dry vermouth\n2 ml absinthe\nMETHOD\nStir, strain.\nNOTES\nUse a 2 ml syringe for the absinthe; never free pour it.",
            &[("gin", 40.0), ("vermouth", 20.0), ("absinthe", 2.0)],
        ),
        (
            "45 ml vodka\n90 ml tomato juice\nSalt, pepper\nRoll with ice, strain over ice.\nREMEMBER: offer the clam broth, do not add it",
            &[("vodka", 45.0), ("tomato", 90.0), ("salt", 0.0), ("pepper", 0.0)],
        ),
    ]);
}

/// A unit before its number, a measure called a double, what is cut up, where a pour goes behind a dash.
#[test]
fn amounts_and_places_the_other_way_round() {
    reads(&[
        (
            "cl 4 genever\ncl 2 lemon juice\ncl 1,5 cherry syrup\nshake",
            &[("genever", 40.0), ("lemon", 20.0), ("cherry", 15.0)],
        ),
        (
            "double dark rum\nhalf a lime squeezed in\ntop with ginger ale\nhighball over ice",
            &[("dark rum", 60.0), ("lime", 0.0), ("ginger ale", 0.0)],
        ),
        (
            "50 ml cachaça\n1 lime cut in 6 pieces\n10 g sugar\nPress the lime with the sugar, add crushed ice and the cachaça.",
            &[("cachaça", 50.0), ("lime", 0.0), ("sugar", 0.0)],
        ),
        (
            "Cognac - 2 oz\nGomme syrup - 1 tsp\nAbsinthe - rinse\nSoda water - top\nstir, strain",
            &[
                ("cognac", 59.15),
                ("gomme", 0.0),
                ("absinthe", 0.0),
                ("soda", 0.0),
            ],
        ),
        (
            "1 1/2 OZ. RYE\n3/4 OZ. IT. VERMOUTH\n1/2 OZ. LEMON JCE.\n1 TSP. POWD. SUGAR\nSHAKE. STR. CKTL. GLASS.",
            &[
                ("rye", 44.36),
                ("sweet red vermouth", 22.18),
                ("lemon", 14.79),
                ("sugar", 0.0),
            ],
        ),
        (
            "- 40 ml blended scotch\n- 20 ml lemon\n- peated scotch, 3 sprays over the foam\nshake, strain",
            &[("blended", 40.0), ("lemon", 20.0), ("peated", 0.0)],
        ),
        (
            "50 ml gin\n20 ml ginger\n20 ml strawberry\nshake",
            &[("gin", 50.0), ("ginger juice", 20.0), ("strawberry pur", 20.0)],
        ),
        (
            "P: 60 cold brew, 20 vanilla syrup, 15 lemon, 90 tonic\nbuild, highball over ice",
            &[
                ("cold brew", 60.0),
                ("vanilla", 20.0),
                ("lemon juice", 15.0),
                ("tonic", 90.0),
            ],
        ),
    ]);
}

/// Sheets of production: how many serves stand in brackets, a serve is a volume of the batch.
#[test]
fn a_sheet_of_production_is_for_so_many() {
    reads(&[
        (
            "Batch size: 6.00 L (60 x 100 ml)\nBourbon 45 %   3.00 L\nSweet vermouth 16 %   1.50 L\nWater   1.50 L\nProcess: combine, rest 24 h, filter, bottle at 100 ml.\nServe: pour over ice, rocks glass.",
            &[("bourbon", 50.0), ("vermouth", 25.0), ("water", 25.0)],
        ),
        (
            "FREEZER BATCH - 10 serves @ 90 ml\nGin - 500 ml\nDry vermouth - 250 ml\nWater - 150 ml\nBottle, freeze overnight. Pour 90 ml straight from the bottle into a coupe.",
            &[("gin", 50.0), ("vermouth", 25.0), ("water", 15.0)],
        ),
        (
            "Batch size: 960 g (8 x 120 g)\nBlack tea, cold   600 g\nVerjus   360 g\nServe: 120 g over ice, highball, top with 50 ml soda.",
            &[("black tea", 0.0), ("verjus", 0.0), ("soda", 50.0)],
        ),
        (
            "hi all, for the party we need 20 serves of the welcome drink. That's 1 litre of gin, 400 ml of lemon juice and 400 ml of sugar syrup. shake, coupe",
            &[("gin", 50.0), ("lemon", 20.0), ("simple", 20.0)],
        ),
    ]);
}

/// The kind of work that is meant: in the glass, in a shaker, in another vessel.
#[test]
fn work_is_what_its_place_says() {
    for (body, structure) in [
        (
            "2 oz bourbon\n3/4 oz lemon\n3/4 oz honey syrup\n1 egg white\ndry shake first, then w/ ice\ncoupe",
            "shaken with egg white",
        ),
        (
            "30 ml whisky\n120 ml soda water\nTall glass, ice to top. Whisky, stir to chill. Soda along the ice.",
            "built long",
        ),
        (
            "60 ml alcohol-free botanical spirit\n90 ml soda water\nMethod: Build, stir gently\nGlass: Wine glass\nIce: Cubed",
            "built long",
        ),
        (
            "2 shots espresso\n20 ml chocolate syrup\n120 ml milk\nStir the syrup into the hot espresso, fill a tall glass with ice, add the milk.",
            "built long",
        ),
        (
            "serves 20\n2 l apple juice\n1 l cold green tea\n150 ml honey (loosen in a little hot water)\nStir the honey into the tea, add the juice. Highball over ice.",
            "built long",
        ),
        (
            "50 g gin\n20 g lemon juice\n15 g honey\nEverything in a shaker with plenty of ice, hard. Strain into a coupe.",
            "shaken sour",
        ),
    ] {
        let source = washline_core::spec::Source::new("t", format!("# T\n\n## D\n\n{body}\n"));
        let checked = washline_core::computed::look_at(
            std::slice::from_ref(&source),
            &washline_core::computed::Bar::default(),
        );
        let read = checked
            .drinks
            .first()
            .and_then(|d| d.evaluation.structure)
            .map(|s| s.name().to_owned());
        assert_eq!(read.as_deref(), Some(structure), "{body}\n{:?}", checked.faults);
    }
}

#[test]
fn old_measures_and_short_units() {
    reads(&[
        (
            "45 gin\n2 barsp. grenadine\n1 dsp honey syrup\nshake",
            &[("gin", 45.0), ("grenadine", 10.0), ("honey", 10.0)],
        ),
        (
            "half a gill of rum, 1 oz port\nstir",
            &[("rum", 65.1), ("port", 29.57)],
        ),
        (
            "1½ fl oz gin\n2 drachms dry curaçao\nstir",
            &[("gin", 44.36), ("curaçao", 7.39)],
        ),
        (
            "vodka 40\nespresso 1 shot (30)\nshake",
            &[("vodka", 40.0), ("espresso", 30.0)],
        ),
        ("1 btl lager (330)\n30 lime", &[("lager", 330.0), ("lime", 30.0)]),
        (
            "Gin cl 3\nProsecco cl 6\nbuild",
            &[("gin", 30.0), ("sparkling", 60.0)],
        ),
        (
            "- fino 6 cl\n- almond syrup 1'5 cl\nbuild",
            &[("fino", 60.0), ("", 15.0)],
        ),
        (
            "0,04 l Korn\n0,01 l Limettensaft\n0,1 l Cola",
            &[("", 40.0), ("lime", 10.0), ("cola", 100.0)],
        ),
        (
            "rye 100pf 1.5, dry verm .75\nstir",
            &[("rye", 44.36), ("dry vermouth", 22.18)],
        ),
        (
            "50 gin, squirt of soda, 20 lemon",
            &[("gin", 50.0), ("soda", 0.0), ("lemon", 20.0)],
        ),
    ]);
    assert!(poured("a dram of rum\nstir").is_err(), "a dram has two sizes");
}

#[test]
fn a_share_of_the_glass_is_poured_into_it() {
    // 88 % of a goblet of 300 ml and of a pint glass; what is said of the glass is counted by its size.
    reads(&[
        (
            "Fill a goblet 1/2 full ice-cold champagne. Fill up balance of goblet with stout.\nglass: goblet, 300 ml",
            &[("sparkling", 132.0), ("stout", 0.0)],
        ),
        (
            "half a glass of lager, half a glass of lemonade\nglass: pint glass, 500 ml",
            &[("lager", 220.0), ("", 220.0)],
        ),
        (
            "1/4 glass raspberry syrup\n3/4 glass brandy\nglass: pousse cafe glass, 50 ml",
            &[("raspberry", 11.0), ("brandy", 33.0)],
        ),
        (
            "Over the back of a spoon, in a pousse café glass:\n⅓ crème de cacao\n⅔ brandy\nWhole glass holds 1½ oz.",
            &[("cacao", 14.79), ("brandy", 29.57)],
        ),
    ]);
    assert!(
        poured("half a glass of lager, 20 ml lime").is_err(),
        "of which glass?"
    );
}

#[test]
fn the_glass_that_is_filled_is_the_house_s_own() {
    let own = "# T\npint glass: 400 ml\n\n## D\n\nhalf a glass of lager, 20 ml lime\nglass: pint glass\n"
        .to_owned();
    let checked = look_at(&[Source::new("t", own)], &Bar::default());
    let lager = checked.drinks[0].pours()[0].volume_ml;
    assert!((lager - 176.0).abs() < 0.1, "{lager}");
}

#[test]
fn what_was_thought_of_is_not_poured() {
    reads(&[
        (
            "45 rye, banana liqueur at 20 - no, go 15, it was too sweet at 20 - then 20 lemon. shaken",
            &[("rye", 45.0), ("banana", 15.0), ("lemon", 20.0)],
        ),
        (
            "45ml corn whiskey, then 20 honey syrup but its too sweet so lets say 15. 20 lemon. and 15 amontillado. shake it",
            &[
                ("corn", 45.0),
                ("honey", 15.0),
                ("lemon", 20.0),
                ("amontillado", 15.0),
            ],
        ),
        (
            "start with 50 mezcal, no wait we cut that, 45. then 20 pineapple juice, 20 lime. shake",
            &[("mezcal", 45.0), ("pineapple", 20.0), ("lime", 20.0)],
        ),
        (
            "An ounce each of gin and sweet vermouth, but instead of a full ounce of red bitter I use half an ounce of amaro. Stir",
            &[("gin", 29.57), ("vermouth", 29.57), ("amaro", 14.79)],
        ),
        // What was poured last night is poured.
        (
            "we had 45 ml rye, 20 ml lemon, shaken",
            &[("rye", 45.0), ("lemon", 20.0)],
        ),
        (
            "40 pisco, 25 blanc vermouth. Maybe olive oil on top? No. Stirred",
            &[("pisco", 40.0), ("vermouth", 25.0)],
        ),
        (
            "equal parts cognac, cloudberry liqueur and cream, 30 ml of each. Could do with acid? tried 5 ml lemon. Shake",
            &[("cognac", 30.0), ("cloudberry", 30.0), ("cream", 30.0)],
        ),
    ]);
    let wondered = poured("40 pisco, 25 blanc vermouth. Maybe olive oil on top? Stirred");
    assert!(wondered.is_err(), "{wondered:?}");
}

#[test]
fn a_title_a_total_and_a_label_say_how_much() {
    for (body, first) in [
        (
            "PRODUCTION BATCH - 5 L (50 serves x 100 ml)\n\nRum, 3000 ml\nLime cordial, 2000 ml",
            60.0,
        ),
        (
            "Keg fill 18 L, yields 120 x 150 ml\n\nvodka 4.8 L\nwater 13.2 L\nHold on tap 4. Serve in a highball.",
            40.0,
        ),
        (
            "700 ml bottle | 7 serves @ 100 ml\n\nGin: 350 ml\nDry vermouth: 210 ml\nWater: 140 ml",
            50.0,
        ),
        ("Winter punch, 24 cups\n\nBlack tea: 1.2 L\nCognac: 720 ml", 50.0),
        (
            "1 x 700 ml bottle = 7 serves of 100 ml\n\nRye 350 ml\nSweet vermouth 350 ml\nfreezer -12. Pour into a coupe.",
            50.0,
        ),
    ] {
        let pours = poured(body).unwrap_or_else(|faults| panic!("{body}: {faults:?}"));
        assert!((pours[0].1 - first).abs() < 0.02 * first, "{body}: {pours:?}");
    }
    reads(&[
        (
            "Batch pour: 60 ml (= 40 ml scotch + 10 ml ginger liqueur + 10 ml honey syrup)\nFresh: 20 ml lemon juice",
            &[
                ("scotch", 40.0),
                ("ginger", 10.0),
                ("honey", 10.0),
                ("lemon", 20.0),
            ],
        ),
        (
            "Cognac: 700 ml\nSparkling wine: 1 x 750 ml + 1 half bottle 375 ml\nserves: 10",
            &[("cognac", 70.0), ("sparkling", 112.5)],
        ),
        (
            "Two parts tequila, one part triple sec, one part lime juice, and I take 1 oz as my part. Shake",
            &[("tequila", 59.15), ("triple", 29.57), ("lime", 29.57)],
        ),
        (
            "EQ PTS .75 ea\nbourbon\namaro\nlemon\nshake",
            &[("bourbon", 22.18), ("amaro", 22.18), ("lemon", 22.18)],
        ),
    ]);
}

#[test]
fn names_are_told_by_what_stands_beside_them() {
    reads(&[
        (
            "Chacha (grape spirit, 45% abv)    45 ml\nVerjus    20 ml\nstir",
            &[("grape", 45.0), ("verjus", 20.0)],
        ),
        (
            "15 ml syrup of cherry, 50 ml rum, 25 ml juice of lime\nshake",
            &[("cherry syrup", 15.0), ("rum", 50.0), ("lime", 25.0)],
        ),
        (
            "pisco 50\nginger beer top (~100)\nhighball, 1 large cube",
            &[("pisco", 50.0), ("ginger beer", 100.0)],
        ),
        ("gin 50\nsoda to top, ca. 60 ml", &[("gin", 50.0), ("soda", 60.0)]),
        (
            "Brown-butter aquavit [1] .... 45 ml\nBlanc vermouth ........ 20 ml\nstir",
            &[("aquavit", 45.0), ("vermouth", 20.0)],
        ),
        (
            "20 ml pear brandy\n15 ml oolong syrup (see below)\n20 ml lemon\nshake\n\nOolong syrup\nSteep 20 g oolong in 500 ml water for 6 min. Add 500 g caster sugar, stir to dissolve.",
            &[("pear", 20.0), ("", 15.0), ("lemon", 20.0)],
        ),
        ("50 gin, tonic, highball", &[("gin", 50.0), ("tonic", 0.0)]),
        ("1 cl Fichtennadelsirup\n4 cl Gin", &[("", 10.0), ("gin", 40.0)]),
    ]);
    // A few words nobody knows, and a number: asked about, never a note.
    assert!(poured("chicha morada reduction 25\n50 pisco\nbuild").is_err());
    // A fruit under a glass that is named first is poured.
    reads(&[(
        "highball, full ice\n40 vodka\n15 lime\nsoda to top",
        &[("vodka", 40.0), ("lime", 15.0), ("soda", 0.0)],
    )]);
}

#[test]
fn a_glass_in_three_letters_is_one() {
    let source = Source::new(
        "t",
        "# T\n\n## D\n\n50 fino, 15 dry verm. stir, NnN, olive\n".to_owned(),
    );
    let checked = look_at(std::slice::from_ref(&source), &Bar::default());
    let glass = checked.drinks[0].resolved.glass.as_ref().map(|g| g.name.clone());
    assert_eq!(glass.as_deref(), Some("NnN"), "{:?}", checked.faults.first());
}

#[test]
fn a_name_that_the_page_broke_is_one() {
    reads(&[(
        "45 ml gin\n20 ml lime\nShake well and strain into a tall, thin glass and fill with imported Ginger\nAle.",
        &[("gin", 45.0), ("lime", 20.0), ("ginger ale", 0.0)],
    )]);
}

/// What a line says of all amounts holds for those that have no unit of their own.
#[test]
fn the_unit_of_all_amounts_stands_in_a_line_of_its_own() {
    reads(&[
        (
            "all weights in grams\n55 gin\n25 lemon juice\n20 simple syrup\nshake",
            &[("gin", 58.0), ("lemon", 24.3), ("simple", 16.3)],
        ),
        (
            "(amounts in grams)\ngin 55\nlemon 25\n1 egg white\nshake",
            &[("gin", 58.0), ("lemon", 24.3), ("egg", 0.0)],
        ),
        (
            "Weights, not volumes.\n55 gin\n25 lemon\nshake",
            &[("gin", 58.0), ("lemon", 24.3)],
        ),
        (
            "everything in cl\n4 gin\n2 lemon juice\n1.5 simple syrup\n2 bitters\nshake",
            &[
                ("gin", 40.0),
                ("lemon", 20.0),
                ("simple", 15.0),
                ("bitters", 1.84),
            ],
        ),
        (
            "4 gin\n2 lemon juice\nshake, strain\nAll measures in cl unless otherwise stated",
            &[("gin", 40.0), ("lemon", 20.0)],
        ),
        (
            "todo en ml\n5 ginebra\n4 zumo de limón\nagitar",
            &[("gin", 5.0), ("lemon", 4.0)],
        ),
        (
            "measures in ml\n5 absinthe\n1/2 oz simple\n60 rye\nstir",
            &[("absinthe", 5.0), ("simple", 14.79), ("rye", 60.0)],
        ),
    ]);
}

/// What is poured as it tastes right is an open pour in every language, and what is named in a list and not poured is
/// told of.
#[test]
fn nothing_named_in_a_list_goes_without_a_word() {
    let counted = |body: &str| poured(body).map(|pours| pours.len());
    for said in [
        "soda al gusto",
        "soda selon goût",
        "Soda nach Geschmack",
        "soda a piacere",
    ] {
        let body = format!("40 ml rum\n20 ml lime juice\n{said}\nshake, strain");
        assert_eq!(counted(&body), Ok(3), "{said}");
    }
    let told = |body: &str| -> String {
        let source = Source::new("t", format!("# T\n\n## D\n\n{body}\n"));
        let checked = look_at(std::slice::from_ref(&source), &Bar::default());
        let about = |a: &washline_core::spec::Assumption| a.about.clone();
        let drink = checked.drinks.first();
        drink.map_or_else(
            || format!("{:?}", checked.faults),
            |d| {
                d.resolved
                    .assumptions
                    .iter()
                    .map(about)
                    .collect::<Vec<_>>()
                    .join("; ")
            },
        )
    };
    for (said, about) in [
        ("soda as she likes", "soda without an amount"),
        ("orange bitters the usual way", "orange bitters the usual way"),
        ("the good vermouth from before", "no amount before `vermouth`"),
    ] {
        let body = format!("40 ml rum\n20 ml lime juice\n{said}\nshake, strain");
        assert!(told(&body).contains(about), "{said}: {}", told(&body));
    }
}

#[test]
fn sheets_chats_and_hurried_lists() {
    reads(&[
        (
            "Rye 45 ml\nSoda splash\nAngostura bitters dash\nbuild",
            &[("rye", 45.0), ("soda", 0.0), ("bitters", 0.92)],
        ),
        (
            "45ml gin, 15ml of the pear liqueur and 20ml lime. Shaken, served over one cube. I'd had 25ml pear in it but that was cloying.",
            &[("gin", 45.0), ("pear", 15.0), ("lime", 20.0)],
        ),
        (
            "v1 had 20 lemon, too sharp.\nv2: 50 cognac / 20 oloroso sherry / 10 lemon\nshake",
            &[("cognac", 50.0), ("oloroso", 20.0), ("lemon", 10.0)],
        ),
        (
            "[18:02] Ana: 1.5 gin 1 bianco vermouth .5 lemon\n[18:04] Bo: stirred?\n[18:04] Ana: no shake it. up\n[18:06] Ana: sorry lemon is .75 not .5",
            &[("gin", 44.36), ("vermouth", 29.57), ("lemon", 22.18)],
        ),
        (
            "you asked for it - it's just equal parts rye, amaro and lemon, 3/4 oz of each. shake, coupe",
            &[("rye", 22.18), ("amaro", 22.18), ("lemon", 22.18)],
        ),
        (
            "yields 20 serves\n\nIngredient | per serve | x20\nBourbon | 45 ml | 900 ml\nFino sherry | 20 ml | 400 ml\n\nstir",
            &[("bourbon", 45.0), ("fino", 20.0)],
        ),
        (
            "100 ml per serve before shaking:\nMezcal - 60 %\nLime juice - 40 %\n= 100 %\nshake each 100 ml to order, strain",
            &[("mezcal", 60.0), ("lime", 40.0)],
        ),
        (
            "Dbl (50ml) spiced rum\n12.5ml s/s\n25ml lime\nTop GB\nhi-ball",
            &[
                ("rum", 50.0),
                ("simple", 12.5),
                ("lime", 25.0),
                ("ginger beer", 0.0),
            ],
        ),
        (
            "50 aquavit, 25 bianco verm, 1 dsh celery bitters\nStir, serve up. Dill sprig.\nFifty is plenty. 50!!",
            &[("aquavit", 50.0), ("vermouth", 25.0), ("celery", 0.92)],
        ),
        (
            "5 cl ron añejo\n2 cl zumo de lima\n1 golpe de amargo aromático\nagitar",
            &[("rum", 50.0), ("lime", 20.0), ("aromatic bitters", 0.92)],
        ),
    ]);
    // Once it is served, another amount of the same is asked about.
    assert!(
        poured("35 aquavit, 25 bianco vermouth\nStir, strain, serve up.\nSomeone keeps making it with 50 aquavit and it shows.").is_err()
    );
    let glass = |body: &str| {
        let source = Source::new("t", format!("# T\n\n## D\n\n{body}\n"));
        let checked = look_at(std::slice::from_ref(&source), &Bar::default());
        let glass = checked.drinks.first().and_then(|d| d.resolved.glass.clone());
        glass.map_or_else(String::new, |g| key(&g.name))
    };
    for (body, wanted) in [
        (
            "50 gin 25 lemon n top soda. shake all but the soda. goes in a sling glass, lemon wheel",
            "sling",
        ),
        (
            "fifty mil scotch twenty mil lemon shake strain over ice rocks glass",
            "rocks",
        ),
        (
            "2 oz rye and two dashes of aromatic bitters stir that and strain into a coop with a cherry",
            "coop",
        ),
        ("45 ml pear brandy\nStir 30 s, strain, nick an nora", "nick"),
        (
            "4 cl Wodka\n2 cl Zitronensaft\nauf Eis shaken, in eine Sektflöte abseihen",
            "flute",
        ),
    ] {
        assert!(glass(body).contains(wanted), "{body}: {}", glass(body));
    }
}

/// Notes of how a drink came about: the version that is said to be it, or else the last, is poured, and no other.
#[test]
fn of_several_versions_one_is_poured() {
    reads(&[
        (
            "v1 - 2 gin .75 lemon .75 beet syrup. too earthy\nv2 - beet down to .5, added .25 curacao. flat\nv3 FINAL - 2 oz gin, 3/4 lemon, 1/2 beet syrup, 1/4 dry curaçao. shake/coupe",
            &[
                ("gin", 59.15),
                ("lemon", 22.18),
                ("beet", 14.79),
                ("curacao", 7.39),
            ],
        ),
        (
            "Round 1\n1.5 oz brandy, 1 oz nocino, 1 oz cream. Panel: heavy\nRound 2\n2 oz brandy, .5 oz nocino, .25 oz maple syrup - stirred. Panel: yes",
            &[("brandy", 59.15), ("walnut", 14.79), ("maple", 7.39)],
        ),
        (
            "14 Feb: first go. 1 oz mezcal 1 oz scotch 1 oz sweet vermouth.\n3 Mar: last change. 1 1/2 oz mezcal, 3/4 oz sweet vermouth, 1 dash mole bitters. Stirred, rocks glass",
            &[("mezcal", 44.36), ("vermouth", 22.18), ("mole", 0.92)],
        ),
        (
            "A) 40ml dark rum, 20ml sweet sherry, 20ml lime, shake\nB) 40ml dark rum, 15ml overproof rum, 25ml lime, shake\n\nTried both. Going with B. Double rocks",
            &[("dark rum", 40.0), ("overproof", 15.0), ("lime", 25.0)],
        ),
        (
            "v1 (old): 50 cognac / 15 lemon\nv2 (use this one): 50 cognac / 10 lemon / 5 maple syrup\nv3 too sweet: 50 cognac / 10 lemon / 10 maple syrup\nshake",
            &[("cognac", 50.0), ("lemon", 10.0), ("maple", 5.0)],
        ),
        (
            "v1: 40 rye, 20 amaro, 20 sweet vermouth, 5 maraschino. stirred\nv2: 50 rye, 25 amaro. stir, serve up, add a cherry",
            &[("rye", 50.0), ("amaro", 25.0)],
        ),
        (
            "2 oz blanco tequila\n~~1 oz~~ 3/4 oz lime\n~~1/4 oz~~ 1/2 oz agave syrup\nshake",
            &[("tequila", 59.15), ("lime", 22.18), ("agave", 14.79)],
        ),
        (
            "vodka 40\nlimoncello 20 -> 15\nlemon 25 → 20\nshake",
            &[("vodka", 40.0), ("limoncello", 15.0), ("lemon", 20.0)],
        ),
    ]);
    // What is done with it stands below all of them.
    let body = "v1 (old): 50 cognac / 15 lemon\nv2 (use this one): 50 cognac / 10 lemon\nv3 too sweet: 50 cognac / 5 lemon\nshake";
    let source = Source::new("t", format!("# T\n\n## D\n\n{body}\n"));
    let checked = look_at(std::slice::from_ref(&source), &Bar::default());
    let structure = checked.drinks[0]
        .built
        .structure
        .map(washline_core::tables::Structure::name);
    assert!(
        structure.is_some_and(|s| s.starts_with("shaken")),
        "{structure:?}"
    );
    // What changed is no spec.
    let told = poured(
        "v1: 45 rye / 20 amaro / 20 sweet vermouth. stirred\nv2: back to rye, amaro down to 15, add 5 ml cherry liqueur",
    );
    assert!(told.unwrap_err().concat().contains("tells what changed"));
    // Steps that are numbered are no versions.
    reads(&[(
        "Step 1: pour 40 ml rum and 20 ml lime\nStep 2: add 20 ml simple syrup and 2 dashes bitters\nshake",
        &[("rum", 40.0), ("lime", 20.0), ("simple", 20.0), ("bitters", 1.84)],
    )]);
    // Nor is what is taken.
    reads(&[(
        "Take 2 oz rum\nand 1 oz lime, 1/2 oz simple syrup\nTake 2 dashes bitters\nand 1/4 oz absinthe, 1 oz soda\nbuild",
        &[
            ("rum", 59.15),
            ("lime", 29.57),
            ("simple", 14.79),
            ("bitters", 1.84),
            ("absinthe", 7.39),
            ("soda", 29.57),
        ],
    )]);
}

#[test]
fn what_stands_beside_a_pour_is_none() {
    reads(&[
        (
            "Equal parts\n\nMezcal\nFino sherry\nSweet vermouth\n\nbuild",
            &[("mezcal", 30.0), ("fino", 30.0), ("vermouth", 30.0)],
        ),
        (
            "Gin 50ml £0.92\nLemon 25ml £0.14\nEgg white 20ml £0.10 (EGG)\nshake",
            &[("gin", 50.0), ("lemon", 25.0), ("egg white", 0.0)],
        ),
        (
            "2 oz gin\n1 oz blanc vermouth\n1 dash orange bitters - house blend\nstir ~40 rotations",
            &[("gin", 59.15), ("vermouth", 29.57), ("orange", 0.92)],
        ),
        (
            "For the party on the 14th: 25ml sloe gin and 10ml lemon, topped with 100ml prosecco.\nKind regards,\nA",
            &[("sloe", 25.0), ("lemon", 10.0), ("", 100.0)],
        ),
        (
            "#bar-dev\n1.5 oz aged rum, .5 oz lime, .25 oz demerara 2:1\nshake",
            &[("rum", 44.36), ("lime", 14.79), ("demerara", 7.39)],
        ),
        (
            "dbl gin (50)\n25 lemon\n12.5 gomme\nshake",
            &[("gin", 50.0), ("lemon", 25.0), ("", 12.5)],
        ),
        (
            "Brief: under $3 pour cost\n2 oz brandy\n1/2 oz nocino\nstir",
            &[("brandy", 59.15), ("walnut", 14.79)],
        ),
    ]);
}
