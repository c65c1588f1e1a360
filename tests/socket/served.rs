//! The program serving its page, and a page of our own making at its socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::client::IntoClientRequest;
use tungstenite::handshake::client::Response;
use tungstenite::{Message, WebSocket};

/// Longest wait for anything; met at once on an idle machine.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// A practice that is the same each time.
const PRACTISE: [&str; 4] = ["practise", "--no-open", "--seed", "3"];

/// The program, serving.
pub struct Served {
    child: Child,
    pub port: u16,
}

impl Served {
    /// Starts it; what it records goes under `home`.
    pub fn start(arguments: &[&str], home: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_needlebench"));
        command.args(PRACTISE);
        Self::started(command, arguments, home)
    }

    /// Starts it showing a recording.
    pub fn demonstration(recording: &Path, home: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_needlebench"));
        command.args(["practise", "--no-open", "--demo"]).arg(recording);
        Self::started(command, &[], home)
    }

    /// The same from a shell that says something first.
    #[cfg(unix)]
    pub fn start_by(shell: &str, arguments: &[&str], home: &Path) -> Self {
        let mut command = Command::new("sh");
        let program = env!("CARGO_BIN_EXE_needlebench");
        command.args(["-c", &format!("{shell} '{program}' \"$@\""), "sh"]);
        command.args(PRACTISE);
        Self::started(command, arguments, home)
    }

    fn started(mut command: Command, arguments: &[&str], home: &Path) -> Self {
        let mut child = command
            .args(arguments)
            .env("XDG_DATA_HOME", home)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut address)
            .unwrap();
        let port = address.trim().trim_end_matches('/').rsplit(':').next().unwrap();
        Self {
            port: port.parse().unwrap_or_else(|_| panic!("no port in {address:?}")),
            child,
        }
    }

    /// Asks it to end, as Ctrl-C does; its exit code.
    #[cfg(unix)]
    pub fn end(mut self) -> i32 {
        let pid = rustix::process::Pid::from_child(&self.child);
        rustix::process::kill_process(pid, rustix::process::Signal::INT).unwrap();
        self.child.wait().unwrap().code().unwrap()
    }

    /// A connection.
    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_nodelay(true).unwrap();
        stream
    }

    /// What it answers to a request under this `Host`.
    pub fn answer(&self, path: &str, host: &str) -> String {
        let mut stream = self.connect();
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
        )
        .unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// Opens its socket from a page of this origin and under this host; what came instead, if it is refused.
    pub fn open(&self, host: &str, origin: Option<&str>) -> Result<WebSocket<TcpStream>, u16> {
        let mut request = format!("ws://127.0.0.1:{}/socket", self.port)
            .into_client_request()
            .unwrap();
        request.headers_mut().insert("host", host.parse().unwrap());
        if let Some(origin) = origin {
            request.headers_mut().insert("origin", origin.parse().unwrap());
        }
        let opened: Result<(WebSocket<TcpStream>, Response), _> = tungstenite::client(request, self.connect());
        opened.map(|(socket, _)| socket).map_err(|error| match error {
            tungstenite::HandshakeError::Failure(tungstenite::Error::Http(answer)) => answer.status().as_u16(),
            other => panic!("{other:?}"),
        })
    }

    /// A page as ours is one.
    pub fn page(&self) -> Page {
        let host = format!("127.0.0.1:{}", self.port);
        let socket = self.open(&host, Some(&format!("http://{host}"))).unwrap();
        Page { socket }
    }

    /// A page that was here before, under the token that it was welcomed with.
    pub fn come_back(&self, welcome: &Value) -> Page {
        let mut page = self.page();
        page.send(&json!({"ask": "hello", "rate_hz": 8000, "token": welcome["token"]}));
        page
    }

    /// Processor time that it has taken so far, s; none where the system doesn't tell.
    pub fn spent_s(&self) -> Option<f64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).ok()?;
        let fields: Vec<&str> = stat.rsplit(") ").next()?.split(' ').collect();
        let ticks = |at: usize| fields.get(at)?.parse::<f64>().ok();
        // Hundredths of a second, as Linux counts them for everybody.
        Some((ticks(11)? + ticks(12)?) / 100.0)
    }

    /// One that has said hello, and what it was welcomed with.
    pub fn welcomed(&self) -> (Page, Value) {
        self.welcomed_at(8000)
    }

    /// The same for a loudspeaker of this rate.
    pub fn welcomed_at(&self, rate_hz: u32) -> (Page, Value) {
        let mut page = self.page();
        page.send(&json!({"ask": "hello", "rate_hz": rate_hz}));
        let welcome = page.until("welcome");
        (page, welcome)
    }

    /// One whose engine has been started.
    pub fn begun(&self, level: &str) -> (Page, Value) {
        let (mut page, welcome) = self.welcomed();
        page.send(&json!({"ask": "prepare", "scenario": "lesson-1", "level": level}));
        page.until("card");
        page.send(&json!({"ask": "begin", "n": 1}));
        (page, welcome)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A page that is read while something else is tried, as a browser reads it: one that takes nothing is soon let go.
pub struct Reading {
    stop: Arc<AtomicBool>,
    page: JoinHandle<Page>,
}

impl Reading {
    /// The page again, its line whole.
    pub fn back(self) -> Page {
        self.stop.store(true, Ordering::Relaxed);
        self.page.join().unwrap()
    }
}

/// A page at the socket.
pub struct Page {
    pub socket: WebSocket<TcpStream>,
}

impl Page {
    pub fn send(&mut self, ask: &Value) {
        self.socket.send(Message::text(ask.to_string())).unwrap();
    }

    /// Reads whatever comes until it is wanted back.
    pub fn read_meanwhile(mut self) -> Reading {
        let stop = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&stop);
        let page = std::thread::spawn(move || {
            while !asked.load(Ordering::Relaxed) {
                self.next().unwrap();
            }
            self
        });
        Reading { stop, page }
    }

    /// The next line or block; none once it is closed, with code and words, or if none comes.
    pub fn next(&mut self) -> Result<Message, (u16, String)> {
        let begun = Instant::now();
        loop {
            // A page that is told nothing is asked for signs of life all the same.
            if begun.elapsed() > PATIENCE {
                return Err((0, "nothing came".to_string()));
            }
            match self.socket.read() {
                Ok(Message::Close(frame)) => {
                    return Err(frame.map_or((1005, String::new()), |f| (f.code.into(), f.reason.to_string())));
                }
                Ok(Message::Ping(_) | Message::Pong(_)) => {}
                Ok(message) => return Ok(message),
                Err(error) => return Err((1006, error.to_string())),
            }
        }
    }

    /// The next line of this kind that is as wanted.
    pub fn find(&mut self, told: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE {
            match self.next() {
                Ok(Message::Text(line)) => {
                    let line: Value = serde_json::from_str(&line).unwrap();
                    if line["told"] == told && wanted(&line) {
                        return line;
                    }
                }
                Ok(_) => {}
                Err(closed) => panic!("closed while waiting for {told}: {closed:?}"),
            }
        }
        panic!("no {told} came");
    }

    /// The next line of this kind.
    pub fn until(&mut self, told: &str) -> Value {
        self.find(told, |_| true)
    }

    /// The screws stand as they were found.
    pub fn finds_no_screw_turned(&mut self) {
        let bench = self.until("bench");
        let screws = bench["screws"].as_array().unwrap();
        assert!(
            screws.len() == 3 && screws.iter().all(|screw| screw["turns"] == 0.0),
            "{bench}"
        );
    }

    /// Reads on until it is closed; code and words.
    pub fn closed(&mut self) -> (u16, String) {
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE {
            if let Err(closed) = self.next() {
                return closed;
            }
        }
        panic!("it was not closed");
    }
}
