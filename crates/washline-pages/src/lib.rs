//! Pages, cards and notes: what was worked out goes in, the text of one file comes out.
//!
//! Nothing here writes a file, reads a terminal or knows a command. A page is one file by itself: no script, no font
//! and nothing else is fetched. Text from outside is escaped for where it stands, and what cannot be seen in it is made
//! visible.
//!
//! Each module uses only those above it in this list:
//!
//! 1. [`visible`]: what cannot be seen, made visible.
//! 2. [`words`]: how numbers, verdicts and counts are printed.
//! 3. `template`: a page from its template.
//! 4. [`glass`]: a glass from the side, and its level.
//! 5. `scale`: scales, and a figure's place on one.
//! 6. `curve`: a curve over time.
//! 7. [`card`]: spec cards.
//! 8. [`mise`]: what to have ready.
//! 9. [`tasting`]: a sheet to carry to a tasting.
//! 10. [`report`]: a whole list as one page.
//! 11. [`drink`]: one drink on one page.
//! 12. [`change`]: before and after.
//! 13. [`note`]: what to pour in another bar.

pub mod card;
pub mod change;
mod curve;
pub mod drink;
pub mod glass;
pub mod mise;
pub mod note;
pub mod report;
mod scale;
pub mod tasting;
mod template;
pub mod visible;
pub mod words;

pub use template::PageError;
