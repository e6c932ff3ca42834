//! What is done with a spec once it is right: costed, labelled, printed.
//!
//! Each takes drinks that are worked out ([`crate::computed::ComputedDrink`]) and gives figures and words; none of
//! them sees a database, a clock or a screen.

pub mod audit;
pub mod batch;
pub mod bitter;
pub mod card;
pub mod comparison;
pub mod cost;
pub(crate) mod garnish;
pub mod label;
pub mod mise;
