//! What is really in the glass: drink specs, the physics of pouring and melting, balance, and the
//! house database.
//!
//! A drink's *washline* is the level it reaches in the glass once ice has done its work. This
//! library answers the question behind it: not what was poured, but what is there to drink.
//!
//! # The way of the data
//!
//! Each module hands on to the next; none looks back.
//!
//! 1. [`measure`]: amounts as written (exact), units, how large a dash is in this house.
//! 2. [`liquid`]: the physical heart. A [`liquid::Liquid`] is masses; masses add, volumes do not.
//! 3. [`ingredient`]: what a bottle or juice is, each value with its source; the reference library.
//! 4. [`spec`]: the drink as written; reading and writing books.
//! 5. [`melt`]: water gained from ice and how cold it gets: handbook, heat balance, the house's own fit.
//! 6. [`resolve`]: names to ingredients and amounts to liquids; what was taken for granted, and what is not
//!    exactly known.
//! 7. [`prepare`]: preparations of the house, from what they are made of to ingredients.
//! 8. [`build`]: the walk through the steps to what is in the glass.
//! 9. [`balance`]: figures with their intervals, ranges by structure, findings.
//! 10. [`advise`]: putting a drink right: the smallest change in steps the bar can measure.
//! 11. [`service`]: what is done with a drink once it is right: batch, cost, label, card.
//! 12. [`store`]: the house: one SQLite file of specs, ingredients, ranges and results.
//!
//! Beside them, [`files`] is the one way in which a file is written.
//!
//! The analysis never sees a database connection; the store works nothing out. Nothing here reads a
//! clock, the environment or a terminal.
//!
//! # An example
//!
//! Read a book, keep it, and ask for what is out of its range:
//!
//! ```
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
//! match house.add(&Source::new("list.md", text), "2026-11-24T18:00:00Z")? {
//!     Ok(added) => assert_eq!(added.new, ["Distant Signal"]),
//!     Err(faults) => panic!("nothing was stored: {faults:?}"),
//! }
//! let flagged = house.flagged(Severity::Outside)?;
//! let drink = &flagged[0];
//! assert_eq!(drink.name, "Distant Signal");
//! assert!(drink.evaluation.figures.sugar_g_per_100ml.value.unwrap() > 14.0);
//! assert!(drink.evaluation.findings[0].to_string().starts_with("too sweet for a shaken sour"));
//! # Ok::<(), washline_core::store::StoreError>(())
//! ```
//!
//! Figures are estimates: a palate and local law decide, and none of them tells who may drive.

pub mod advise;
pub mod balance;
pub mod build;
pub mod exchange;
pub mod files;
pub mod ingredient;
pub mod liquid;
pub mod measure;
pub mod melt;
pub mod names;
pub mod prepare;
pub mod resolve;
pub mod service;
pub mod spec;
pub mod store;
