//! What is printed for programs: for every command a plain type that holds all of it, made of what the library worked
//! out, and the JSON Schema that is generated from the type.
//!
//! A type here borrows: making one costs next to nothing, and writing it makes no copy. A key is the name of its field.
//! Numbers are as they were worked out; whoever writes them rounds them.
//!
//! Each module uses only those above it in this list:
//!
//! 1. [`parts`]: numbers, words and decimals, and what they may be.
//! 2. [`shared`]: what several commands say: figures, faults, allergens.
//! 3. [`drink`]: a drink with its figures, verdicts and findings.
//! 4. [`over_time`]: how a drink goes on changing.
//! 5. [`preparation`]: what the house makes for its drinks.
//! 6. [`check`]: drinks that were looked at.
//! 7. [`books`]: what adding books did.
//! 8. [`label`]: what a menu has to say.
//! 9. [`cost`]: what drinks cost.
//! 10. [`price`]: what things are bought for.
//! 11. [`ingredient`]: what an ingredient is.
//! 12. [`ranges`]: ranges, and how often the verdicts are right.
//! 13. [`house`]: what a house sets, and what ends a command.
//! 14. [`mend`]: what to change so that a drink comes into balance.
//! 15. [`swap`]: one ingredient in the place of another.
//! 16. [`compare`]: drinks beside each other.
//! 17. [`change`]: a drink before and after.
//! 18. [`batch`]: a drink for many, and a whole event.
//! 19. [`card`]: spec cards, and what to have ready.
//! 20. [`find`]: the drinks that a question finds.
//! 21. [`journal`]: what was done, and how it is taken back.
//! 22. [`tasting`]: trials, and the ranges learned from them.
//! 23. [`weighing`]: weighings, and the fit that is made of them.
//! 24. [`history`]: everything that is kept under a name.
//! 25. [`files`]: what went into files and came out of them.
//! 26. [`convert`]: a juice adjusted, two strengths blended.
//! 27. [`travel`]: drinks in other bars.
//! 28. [`audit`]: a list as a whole.
//! 29. [`schema`]: the schema of every shape.
#![expect(
    missing_docs,
    reason = "a key says what it holds, with its unit; what it does not say stands beside it and goes into the schema"
)]

pub mod audit;
pub mod batch;
pub mod books;
pub mod card;
pub mod change;
pub mod check;
pub mod compare;
pub mod convert;
pub mod cost;
pub mod drink;
pub mod files;
pub mod find;
pub mod history;
pub mod house;
pub mod ingredient;
pub mod journal;
pub mod label;
pub mod mend;
pub mod over_time;
pub mod parts;
pub mod preparation;
pub mod price;
pub mod ranges;
pub mod schema;
pub mod shared;
pub mod swap;
pub mod tasting;
pub mod travel;
pub mod weighing;
