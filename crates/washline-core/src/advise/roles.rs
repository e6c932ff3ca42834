//! What a pour may be used for, read off its liquid.
//!
//! A pour is *strong*, *sweet* or *sour* where it holds more alcohol, sugar or acid in 100 ml than all that is
//! poured does together before ice (so that more of it makes the drink stronger, sweeter or tarter), and enough to
//! speak of: 5 % vol, 5 g, 0.3 g. It *lengthens* where it is weaker than the mix and mild: less than 17 g sugar and
//! 1 g acid in 100 ml (soda, fruit juice, sherry, sake, cream). The thresholds are common practice, no source.
//!
//! A strong pour is for strength, a sweet one for sweetness, a sour one for tartness, and a lengthening one for all
//! three, which it softens together. So a drink is never sweetened by pouring less gin.

use crate::balance::BalanceFigure;
use crate::liquid::Liquid;

/// What a pour may be used for; several at once, or nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Roles {
    /// More of it makes the drink stronger.
    pub strong: bool,
    /// More of it makes the drink sweeter.
    pub sweet: bool,
    /// More of it makes the drink tarter.
    pub sour: bool,
    /// More of it makes the drink longer and milder.
    pub lengthens: bool,
}

const STRONG_PCT: f64 = 5.0;
const SWEET_G_PER_100ML: f64 = 5.0;
const SOUR_G_PER_100ML: f64 = 0.3;
const MILD_SUGAR_G_PER_100ML: f64 = 17.0;
const MILD_ACID_G_PER_100ML: f64 = 1.0;

impl Roles {
    /// What `liquid` may be used for in a drink that is `mix` before ice.
    #[must_use]
    pub fn of(liquid: &Liquid, mix: &Liquid) -> Roles {
        let figures = |l: &Liquid| {
            [
                l.abv_pct().unwrap_or(0.0),
                l.sugar_g_per_100ml().unwrap_or(0.0),
                l.acid_g_per_100ml().unwrap_or(0.0),
            ]
        };
        let [strength, sugar, acid] = figures(liquid);
        let [mix_strength, mix_sugar, mix_acid] = figures(mix);
        Roles {
            strong: strength >= STRONG_PCT && strength > mix_strength,
            sweet: sugar >= SWEET_G_PER_100ML && sugar > mix_sugar,
            sour: acid >= SOUR_G_PER_100ML && acid > mix_acid,
            lengthens: (strength < mix_strength || strength < STRONG_PCT && mix_strength < STRONG_PCT)
                && sugar < MILD_SUGAR_G_PER_100ML
                && acid < MILD_ACID_G_PER_100ML,
        }
    }

    /// Whether it may be used for a measure.
    #[must_use]
    pub fn serve(self, measure: BalanceFigure) -> bool {
        self.lengthens
            || match measure {
                BalanceFigure::Strength => self.strong,
                BalanceFigure::Sweetness => self.sweet,
                BalanceFigure::Tartness => self.sour,
            }
    }

    /// Whether more of it raises a measure.
    #[must_use]
    pub fn raise(self, measure: BalanceFigure) -> bool {
        match measure {
            BalanceFigure::Strength => self.strong,
            BalanceFigure::Sweetness => self.sweet,
            BalanceFigure::Tartness => self.sour,
        }
    }

    /// Whether it may be used for anything.
    #[must_use]
    pub fn any(self) -> bool {
        self.strong || self.sweet || self.sour || self.lengthens
    }

    /// The roles in words, in order.
    pub fn words(self) -> impl Iterator<Item = &'static str> {
        [
            (self.strong, "strong"),
            (self.sweet, "sweet"),
            (self.sour, "sour"),
            (self.lengthens, "lengthens"),
        ]
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, word)| word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ingredient::{Convention, library};

    fn roles(drink: &[(&str, f64)]) -> Vec<(String, String)> {
        let pours: Vec<Liquid> = drink
            .iter()
            .map(|(name, ml)| {
                let ingredient = library().get(name).unwrap_or_else(|| panic!("{name}"));
                ingredient
                    .liquid(Convention::Handbook, None)
                    .unwrap()
                    .of_volume(*ml)
                    .unwrap()
            })
            .collect();
        let mix = pours.iter().fold(Liquid::NOTHING, |sum, pour| sum.plus(pour));
        drink
            .iter()
            .zip(&pours)
            .map(|((name, _), pour)| {
                let words: Vec<&str> = Roles::of(pour, &mix).words().collect();
                ((*name).to_owned(), words.join(" "))
            })
            .collect()
    }

    fn assert_roles(drink: &[(&str, f64, &str)]) {
        let poured: Vec<(&str, f64)> = drink.iter().map(|(name, ml, _)| (*name, *ml)).collect();
        for ((name, found), (_, _, wanted)) in roles(&poured).iter().zip(drink) {
            assert_eq!(found, wanted, "{name}");
        }
    }

    #[test]
    fn of_a_sour() {
        assert_roles(&[
            ("white rum", 60.0, "strong"),
            ("lime juice", 22.5, "sour"),
            ("simple syrup 1:1 by mass", 22.5, "sweet"),
        ]);
        assert_roles(&[
            ("tequila blanco", 45.0, "strong"),
            ("orange curaçao", 20.0, "strong sweet"),
            ("lime juice", 20.0, "sour"),
        ]);
    }

    #[test]
    fn of_stirred_and_long_drinks() {
        assert_roles(&[
            ("rye whiskey", 60.0, "strong"),
            ("sweet red vermouth", 25.0, "sweet sour lengthens"),
            ("maraschino liqueur", 5.0, "sweet"),
        ]);
        assert_roles(&[
            ("London dry gin", 25.0, "strong"),
            ("sake", 40.0, "lengthens"),
            ("elderflower liqueur", 10.0, "sweet"),
        ]);
        assert_roles(&[
            ("vodka", 45.0, "strong"),
            ("orange juice", 120.0, "sweet sour lengthens"),
        ]);
        assert_roles(&[("gin", 45.0, "strong"), ("soda water", 90.0, "lengthens")]);
    }
}
