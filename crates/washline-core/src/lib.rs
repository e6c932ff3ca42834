//! What is really in the glass: drink specs, the physics of pouring and melting, balance, and the
//! house database.
//!
//! A drink's *washline* is the level it reaches in the glass once ice has done its work. This
//! library answers the question behind it: not what was poured, but what is there to drink.
//!
//! # The way of the data
//!
//! A module uses only those above it in this list; a test reads the `use` paths and keeps it so.
//!
//! 1. [`names`]: shown as typed, matched on a folded key.
//! 2. [`files`]: the one way in which a file is written.
//! 3. [`measure`]: amounts as written (exact), units, how large a dash is in this house.
//! 4. [`tables`]: the words and constants everybody needs: structures, glasses, techniques, ice.
//! 5. [`liquid`]: the physical heart. A [`liquid::Liquid`] is masses; masses add, volumes do not.
//! 6. [`ingredient`]: what a bottle or juice is, each value with its source; the reference library.
//! 7. [`spec`]: the drink as written; reading and writing books.
//! 8. [`melt`]: water gained from ice and how cold it gets: handbook, heat balance, the house's own fit.
//! 9. [`resolve`]: names to ingredients and amounts to liquids; what was taken for granted, and what is not
//!    exactly known.
//! 10. [`prepare`]: preparations of the house, from what they are made of to ingredients.
//! 11. [`build`]: the walk through the steps to what is in the glass.
//! 12. [`balance`]: figures with their intervals, ranges by structure, findings.
//! 13. [`computed`]: one computed drink, made in one place: [`check`].
//! 14. [`advise`]: putting a drink right: the smallest change in steps the bar can measure.
//! 15. [`service`]: what is done with a drink once it is right: batch, cost, label, card.
//! 16. [`find`]: which drinks? One small language, asked of computed drinks.
//! 17. [`exchange`]: books as sheets, JSON, recipes, and back: pure text to text.
//! 18. `store`: the house: one SQLite file of specs, ingredients, ranges and results (feature `store`, on by default).
//!
//! The analysis never sees a database connection. Nothing here asks what time it is, or reads the environment or a
//! terminal.
//!
//! # One drink
//!
//! ```
//! let text = "## Distant Signal\n- 60 ml white rum\n- 22.5 ml lime juice\n- 45 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
//! let drinks = washline_core::check(text)?;
//! assert!(drinks[0].evaluation.findings[0].to_string().starts_with("too sweet for a sour"));
//! # Ok::<(), washline_core::computed::Faults>(())
//! ```
//!
//! # A house
//!
//! Read a book, keep it, and ask for what is out of its range:
//!
//! ```
//! # #[cfg(feature = "store")] {
//! use washline_core::balance::Severity;
//! use washline_core::spec::Source;
//! use washline_core::store::House;
//!
//! let text = "# Signal Box list
//! ounce: 30 ml
//!
//! ### Distant Signal
//! glass: coupe, 210 ml
//! - 60 ml white rum
//! - 22.5 ml lime juice
//! - 45 ml simple syrup 1:1 by mass
//! - shake
//! - fine strain
//! ";
//! let mut house = House::in_memory()?; // or House::open(path, Access::Write)
//! match house.add(&Source::new("list.md", text))? {
//!     Ok(added) => assert_eq!(added.new, ["Distant Signal"]),
//!     Err(faults) => panic!("nothing was stored: {faults:?}"),
//! }
//! let flagged = house.flagged(Severity::Outside)?;
//! let drink = &flagged[0];
//! assert_eq!(drink.name(), "Distant Signal");
//! assert!(drink.evaluation.figures.sugar_g_per_100ml.value.unwrap() > 14.0);
//! assert!(drink.evaluation.findings[0].to_string().starts_with("too sweet for a sour"));
//! # }
//! # Ok::<(), washline_core::store::StoreError>(())
//! ```
//!
//! Figures are estimates: a palate and local law decide, and none of them tells who may drive.

pub mod advise;
pub mod balance;
pub mod build;
pub mod computed;
pub mod exchange;
pub mod files;
pub mod find;
pub mod ingredient;
pub mod liquid;
pub mod measure;
pub mod melt;
pub mod names;
pub mod prepare;
pub mod resolve;
pub mod service;
pub mod spec;
#[cfg(feature = "store")]
pub mod store;
pub mod tables;

pub use computed::{Bar, ComputedDrink, Faults, check, check_with};
