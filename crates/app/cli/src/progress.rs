//! Progress with the time left on standard error, and stopping by hand.

use crate::args::ProgressForm;
use crate::manner::Manner;
use serde_json::json;
use shortblock_plan::{Stage, Watch};
use std::io::Write;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Set by Ctrl-C; a signal reaches the whole program, so this is one flag for all of it.
static STOP: AtomicBool = AtomicBool::new(false);
/// Quicker work shows no progress.
const QUIET_AT_FIRST: Duration = Duration::from_millis(400);
/// Time between two lines.
const BETWEEN: Duration = Duration::from_millis(150);
const STOPPED: i32 = 130;

/// Lets Ctrl-C (and a polite kill) end the work at the next cycle; a second one ends it at once.
pub fn listen() {
    // Without a handler Ctrl-C ends the program where it stands: files are written whole anyway.
    let _ = ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::SeqCst) {
            std::process::exit(STOPPED);
        }
    });
}

/// Tells how far the work is.
pub struct Progress {
    form: Option<ProgressForm>,
    began: Instant,
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    all: usize,
    done: usize,
    told: Option<Instant>,
    on_screen: bool,
}

impl Progress {
    /// Nothing done yet.
    pub fn new(form: ProgressForm, manner: &Manner) -> Self {
        let wanted = form == ProgressForm::Json || manner.live;
        Self {
            form: (wanted && !manner.quiet).then_some(form),
            began: Instant::now(),
            state: Mutex::new(State::default()),
        }
    }

    /// Time since the work began.
    pub fn took(&self) -> Duration {
        self.began.elapsed()
    }

    /// Takes the line off the screen.
    pub fn clear(&self) {
        if self.locked().on_screen {
            write(&format!("\r{:78}\r", ""));
        }
    }

    fn locked(&self) -> std::sync::MutexGuard<'_, State> {
        // A thread that panicked while telling progress has not harmed the numbers.
        self.state.lock().unwrap_or_else(|poisoned| poisoned.into_inner())
    }

    fn tell(&self, state: &mut State) {
        let took = self.took();
        let due = state.told.is_none_or(|told| told.elapsed() >= BETWEEN);
        if state.all == 0 || took < QUIET_AT_FIRST || !due {
            return;
        }
        state.told = Some(Instant::now());
        let share = (state.done as f64 / state.all as f64).min(1.0);
        let left = took.as_secs_f64() * (1.0 / share.max(1e-3) - 1.0);
        match self.form {
            Some(ProgressForm::Json) => {
                let (share, left) = (crate::json::clean(share), (10.0 * left).round() / 10.0);
                write(&format!("{}\n", json!({ "done": share, "seconds_left": left })));
            }
            Some(ProgressForm::Line) => {
                state.on_screen = true;
                let percent = (100.0 * share).floor();
                let line = format!("  {percent} % worked out, {} left", spell(left));
                write(&format!("\r{line:78}"));
            }
            None => {}
        }
    }
}

impl Watch for Progress {
    fn stop(&self) -> bool {
        STOP.load(Ordering::Relaxed)
    }

    fn expect(&self, stages: &[(Stage, usize)]) {
        let all = stages.iter().map(|(stage, points)| stage.weight() * points).sum();
        self.locked().all = all;
    }

    fn done(&self, stage: Stage, points: usize) {
        let mut state = self.locked();
        state.done += stage.weight() * points;
        self.tell(&mut state);
    }
}

/// Seconds as people say them.
fn spell(seconds: f64) -> String {
    let whole = seconds.ceil().max(1.0) as u64;
    if whole < 60 {
        format!("about {whole} s")
    } else {
        format!("about {} min {} s", whole / 60, whole % 60)
    }
}

fn write(text: &str) {
    // Nobody is left to tell when standard error is closed.
    let _ = std::io::stderr().write_all(text.as_bytes());
}

#[cfg(test)]
mod tests {
    use super::spell;

    #[test]
    fn time_left_is_never_nothing_before_the_end() {
        assert_eq!(spell(0.01), "about 1 s");
        assert_eq!(spell(59.2), "about 1 min 0 s");
        assert_eq!(spell(80.0), "about 1 min 20 s");
    }
}
