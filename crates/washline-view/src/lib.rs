//! What is printed for programs: for every command a plain type that holds all of it, made of what the library worked
//! out, and the JSON Schema that is generated from the type.
//!
//! A type here borrows: making one costs next to nothing, and writing it makes no copy. A key is the name of its field.
//! Numbers are as they were worked out; whoever writes them rounds them.
//!
//! Each module uses only those above it in this list:
//!
//! 1. [`parts`]: numbers, words and decimals, and what they may be.
//! 2. [`remedy`]: what helps, worded as commands.
//! 3. [`shared`]: what several commands say: figures, faults, allergens.
//! 4. [`drink`]: a drink with its figures, verdicts and findings.
//! 5. [`over_time`]: how a drink goes on changing.
//! 6. [`preparation`]: what the house makes for its drinks.
//! 7. [`check`]: drinks that were looked at.
//! 8. [`books`]: what adding books did.
//! 9. [`label`]: what a menu has to say.
//! 10. [`cost`]: what drinks cost.
//! 11. [`price`]: what things are bought for.
//! 12. [`ingredient`]: what an ingredient is.
//! 13. [`ranges`]: ranges, and how often the verdicts are right.
//! 14. [`settings`]: what a house sets, and what ends a command.
//! 15. [`mend`]: what to change so that a drink comes into balance.
//! 16. [`swap`]: one ingredient in the place of another.
//! 17. [`compare`]: drinks beside each other.
//! 18. [`change`]: a drink before and after.
//! 19. [`batch`]: a drink for many, and a whole event.
//! 20. [`card`]: spec cards, and what to have ready.
//! 21. [`find`]: the drinks that a question finds.
//! 22. [`journal`]: what was done, and how it is taken back.
//! 23. [`tasting`]: trials, and the ranges learned from them.
//! 24. [`weighing`]: weighings, and the fit that is made of them.
//! 25. [`history`]: everything that is kept under a name.
//! 26. [`files`]: what went into files and came out of them.
//! 27. [`convert`]: a juice adjusted, two strengths blended.
//! 28. [`travel`]: drinks in other bars.
//! 29. [`audit`]: a list as a whole.
//! 30. [`schema`]: the schema of every shape.
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
pub mod ingredient;
pub mod journal;
pub mod label;
pub mod mend;
pub mod over_time;
pub mod parts;
pub mod preparation;
pub mod price;
pub mod ranges;
pub mod remedy;
pub mod schema;
pub mod settings;
pub mod shared;
pub mod swap;
pub mod tasting;
pub mod travel;
pub mod weighing;
