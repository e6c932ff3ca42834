//! What takes more than a second says so, where somebody sits at a terminal; what is over before is not seen.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use washline_core::computed::progress;

/// So long nothing is shown.
const PATIENCE: Duration = Duration::from_secs(1);
/// So often it is drawn anew.
const STEP: Duration = Duration::from_millis(100);

/// The bar of this process, while there may be one.
static SHOWN: Mutex<Option<(Sender<()>, JoinHandle<()>)>> = Mutex::new(None);

/// From a second on show a bar on standard error, where that is a terminal.
pub fn begin() {
    if !std::io::stderr().is_terminal() {
        return;
    }
    let (stop, stopped) = channel();
    let thread = std::thread::spawn(move || show(&stopped));
    if let Ok(mut shown) = SHOWN.lock() {
        *shown = Some((stop, thread));
    }
}

/// Take the bar away for good: the screen is somebody else's now.
pub fn end() {
    let shown = SHOWN.lock().ok().and_then(|mut shown| shown.take());
    if let Some((stop, thread)) = shown {
        // It is gone already where nobody listens.
        let _ = stop.send(());
        let _ = thread.join();
    }
}

fn show(stopped: &Receiver<()>) {
    if stopped.recv_timeout(PATIENCE) != Err(RecvTimeoutError::Timeout) {
        return;
    }
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    let counted = ProgressStyle::with_template("{bar:24} {pos} of {len} drinks  {elapsed}").ok();
    let uncounted = ProgressStyle::with_template("{spinner} {elapsed}").ok();
    loop {
        let (done, of) = progress();
        let style = if of > 0 { &counted } else { &uncounted };
        if let Some(style) = style {
            bar.set_style(style.clone());
        }
        if of > 0 {
            bar.set_length(of as u64);
            bar.set_position(done as u64);
        }
        bar.tick();
        if stopped.recv_timeout(STEP) != Err(RecvTimeoutError::Timeout) {
            bar.finish_and_clear();
            return;
        }
    }
}
