//! What is said under figures, wherever they stand: what they are, what they are not, and who decides.

/// Under figures that somebody works with.
pub const ESTIMATES: &str = "Figures are estimates for tasting and writing specs, not for judging who may drive; allergens marked unknown are not \"none\"; your palate and local law decide.";

/// The same where there is room for a line: at the foot of a printed side.
pub const ESTIMATES_IN_A_LINE: &str =
    "Estimates for tasting and writing specs, not for judging who may drive. Palate and local law decide.";

/// Under a drink that is not as it was (mended, swapped, poured elsewhere), without its full stop.
pub const BEFORE_GUESTS: &str =
    "Figures are estimates: taste it before it is poured for guests; local law decides on serves and labels";

/// Of allergens that nobody has declared, within a sentence.
pub const UNKNOWN_IS_NOT_NONE: &str = "allergens marked unknown are not \"none\"";

/// How far a declaration of allergens reaches, within a sentence.
pub const USUAL_PRODUCTS: &str =
    "Allergens are those of usual products: the label of each bottle goes before this";
