//! What signals do: a practice that is asked to end ends in its own time, with everything kept; a command that is writing
//! results takes its unfinished files away before it goes; and a file that may grow no more is an error of its write.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// The exit code of a command that was interrupted.
pub const INTERRUPTED: i32 = 130;

/// Whether a signal, or Ctrl-C on the full screen, has asked a practice to end.
#[derive(Debug)]
pub struct Asked {
    flag: Arc<AtomicBool>,
    /// Readable once a signal has come, for whoever waits for input at the same time.
    #[cfg(unix)]
    woken: std::os::unix::net::UnixStream,
}

impl Asked {
    /// Listens from now on.
    #[cfg(unix)]
    pub fn listen() -> std::io::Result<Self> {
        use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
        let flag = Arc::new(AtomicBool::new(false));
        let (woken, wakes) = std::os::unix::net::UnixStream::pair()?;
        for signal in [SIGTERM, SIGHUP, SIGINT, SIGQUIT] {
            // A second one ends a program that hangs. A window that is closed sends its own more than once.
            if signal != SIGHUP {
                signal_hook::flag::register_conditional_shutdown(signal, INTERRUPTED, Arc::clone(&flag))?;
            }
            signal_hook::flag::register(signal, Arc::clone(&flag))?;
            signal_hook::low_level::pipe::register(signal, wakes.try_clone()?)?;
        }
        Ok(Self { flag, woken })
    }

    /// Listens from now on; here nothing but Ctrl-C on the full screen asks.
    #[cfg(not(unix))]
    pub fn listen() -> std::io::Result<Self> {
        Ok(Self {
            flag: Arc::new(AtomicBool::new(false)),
        })
    }

    /// It has been asked.
    pub fn is_set(&self) -> bool {
        self.flag.load(Ordering::SeqCst)
    }

    /// Asks.
    pub fn set(&self) {
        self.flag.store(true, Ordering::SeqCst);
    }

    /// Waits until `input` has something to read or has ended; false if something else came before, such as a signal.
    #[cfg(unix)]
    pub fn wait_for(&self, input: &std::fs::File) -> std::io::Result<bool> {
        use rustix::event::{PollFd, PollFlags, poll};
        let mut either = [
            PollFd::new(input, PollFlags::IN),
            PollFd::new(&self.woken, PollFlags::IN),
        ];
        match poll(&mut either, None) {
            Ok(_) => Ok(!either[0].revents().is_empty()),
            Err(rustix::io::Errno::INTR) => Ok(false),
            Err(error) => Err(error.into()),
        }
    }

    /// Here a read waits by itself.
    #[cfg(not(unix))]
    pub fn wait_for(&self, _input: &std::fs::File) -> std::io::Result<bool> {
        Ok(true)
    }
}

/// A write to a file at its limit of size fails from now on, where it would have ended the program.
pub fn outlive_full_files() {
    #[cfg(unix)]
    // Where this signal can't be caught, nothing is lost by it that a killed program wouldn't lose.
    let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, Arc::new(AtomicBool::new(false)));
}

/// Files that are made ready beside their targets.
static UNFINISHED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn unfinished() -> std::sync::MutexGuard<'static, Vec<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file made ready beside its target; an interrupted program takes it away before it ends.
#[derive(Debug)]
pub struct Unfinished {
    file: tempfile::NamedTempFile,
}

impl Unfinished {
    /// Makes it, known from the moment it exists.
    pub fn make(make: impl FnOnce() -> std::io::Result<tempfile::NamedTempFile>) -> std::io::Result<Self> {
        clear_up_when_interrupted();
        let mut paths = unfinished();
        let file = make()?;
        paths.push(file.path().to_path_buf());
        Ok(Self { file })
    }

    /// The file.
    pub fn file(&mut self) -> &mut tempfile::NamedTempFile {
        &mut self.file
    }

    /// Puts files in their places; an interruption comes before all of them or after.
    pub fn put(files: Vec<(Self, PathBuf)>) -> Result<(), (PathBuf, std::io::Error)> {
        let _paths = unfinished();
        for (Self { file }, target) in files {
            file.persist(&target).map_err(|error| (target, error.error))?;
        }
        Ok(())
    }
}

/// Starts watching for interruptions, once.
fn clear_up_when_interrupted() {
    #[cfg(unix)]
    {
        use signal_hook::consts::{SIGINT, SIGTERM};
        static STARTED: std::sync::Once = std::sync::Once::new();
        STARTED.call_once(|| {
            let (tell, told) = std::sync::mpsc::channel();
            let watch = move || {
                let signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM]);
                let _ = tell.send(());
                if let Ok(mut signals) = signals
                    && signals.forever().next().is_some()
                {
                    let paths = unfinished();
                    for path in paths.iter() {
                        let _ = std::fs::remove_file(path);
                    }
                    std::process::exit(INTERRUPTED);
                }
            };
            // Where no thread is to be had, an interruption is what it is without us.
            if std::thread::Builder::new().spawn(watch).is_ok() {
                let _ = told.recv();
            }
        });
    }
}
