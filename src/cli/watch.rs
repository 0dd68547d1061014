//! Long studies watched from outside: Ctrl-C, and a line of progress on a terminal.

use std::io::{IsTerminal as _, Write as _};
use std::sync::atomic::{AtomicBool, Ordering};

static CANCELLED: AtomicBool = AtomicBool::new(false);

/// Exit code after a second Ctrl-C, or after one that left nothing to show: what a shell gives for it.
pub const EXIT_CANCELLED: u8 = 130;

/// A flag that Ctrl-C sets, to be looked at now and then. A second one ends the program at once.
pub fn cancel() -> &'static AtomicBool {
    // a handler that is there already, or none to be had, changes nothing but how soon Ctrl-C acts
    let _ = ctrlc::set_handler(|| {
        if CANCELLED.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(EXIT_CANCELLED));
        }
    });
    &CANCELLED
}

/// A line on standard error that is written over and over; nothing where that is no terminal.
pub struct Progress {
    is_terminal: bool,
    what: &'static str,
    of: Option<u64>,
}

impl Progress {
    /// `what` is counted; `of` is how many there will be, if that is known.
    pub fn new(what: &'static str, of: Option<u64>) -> Self {
        Self { is_terminal: std::io::stderr().is_terminal(), what, of }
    }

    /// Shows a count.
    pub fn show(&self, count: u64) {
        if !self.is_terminal {
            return;
        }
        let bar = self.of.filter(|of| *of > 0).map_or(String::new(), |of| {
            let full = (20 * count.min(of) / of) as usize;
            format!("  {}{} of {of}", "━".repeat(full), "─".repeat(20 - full))
        });
        eprint!("\r\x1b[2K{}: {count}{bar}  (Ctrl-C ends it with what is there)", self.what);
        // a line that cannot be shown is no reason to stop
        let _ = std::io::stderr().flush();
    }

    /// Takes the line away.
    pub fn clear(&self) {
        if self.is_terminal {
            eprint!("\r\x1b[2K");
        }
    }
}
