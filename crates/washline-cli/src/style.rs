//! Meanings, not colours: what a reader should notice, named once.

use anstyle::{AnsiColor, Style};

/// A heading or name.
pub const NAME: Style = Style::new().bold();
/// Something wrong.
pub const BAD: Style = AnsiColor::Red.on_default().bold();
/// Something to look at.
pub const LOOK: Style = AnsiColor::Yellow.on_default();
/// In order.
pub const GOOD: Style = AnsiColor::Green.on_default();
/// Beside the point.
pub const DIM: Style = Style::new().dimmed();
