//! A key at a time from whoever sits at the terminal.

use std::io::{IsTerminal, Write};

use anstream::AutoStream;

use crate::plain::visible_styled;
use crate::progress;

/// Whether somebody sits there who can be asked.
pub fn can_ask() -> bool {
    // Whoever asks this writes to the screen next.
    progress::end();
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// Tell what a question is about, and ask it: it is answered with `y` or `n`; a key that breaks off is a no.
pub fn yes(told: &str, question: &str) -> std::io::Result<bool> {
    let mut screen = AutoStream::auto(std::io::stderr());
    screen.write_all(visible_styled(told).as_bytes())?;
    write!(screen, "{question} y/n ")?;
    screen.flush()?;
    let said = loop {
        match key_pressed()? {
            None => break false,
            Some('y' | 'Y') => break true,
            Some('n' | 'N') => break false,
            Some(_) => {}
        }
    };
    writeln!(screen, "{}", if said { "yes" } else { "no" })?;
    Ok(said)
}

/// The next key, without a return behind it; `None` at the end of input and for the keys that break off.
pub fn key_pressed() -> std::io::Result<Option<char>> {
    use std::io::Read;
    let stdin = std::io::stdin();
    let _raw = Raw::enter();
    let mut byte = [0_u8; 1];
    Ok(match stdin.lock().read(&mut byte)? {
        0 => None,
        _ if matches!(byte[0], 3 | 4 | 27) => None,
        _ => Some(char::from(byte[0])),
    })
}

/// A terminal that gives each key at once; as it was, when this goes.
#[cfg(unix)]
struct Raw(Option<rustix::termios::Termios>);

#[cfg(unix)]
impl Raw {
    fn enter() -> Raw {
        use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
        let Ok(before) = tcgetattr(std::io::stdin()) else {
            return Raw(None);
        };
        let mut raw = before.clone();
        raw.local_modes -= LocalModes::ICANON | LocalModes::ECHO;
        match tcsetattr(std::io::stdin(), OptionalActions::Now, &raw) {
            Ok(()) => Raw(Some(before)),
            Err(_) => Raw(None),
        }
    }
}

#[cfg(unix)]
impl Drop for Raw {
    fn drop(&mut self) {
        use rustix::termios::{OptionalActions, tcsetattr};
        if let Some(before) = &self.0 {
            let _ = tcsetattr(std::io::stdin(), OptionalActions::Now, before);
        }
    }
}

/// Elsewhere a key is followed by a return.
#[cfg(not(unix))]
struct Raw;

#[cfg(not(unix))]
impl Raw {
    fn enter() -> Raw {
        Raw
    }
}
