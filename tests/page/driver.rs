//! A real browser without a window, led by its driver. Where none is installed the tests say so and pass; where `CI=true` that is a
//! failure, since `.ci/run` installs both.

use std::future::Future;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::{PoisonError, RwLock};
use std::time::{Duration, Instant};

use fantoccini::actions::{InputSource, KeyAction, KeyActions, MouseActions, PointerAction};
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

/// Longest wait for anything; met at once on an idle machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// A process that ends with the test.
struct Owned(Child);

impl Drop for Owned {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A browser's session, which ends with the test, however that ends: a driver that is only killed leaves its browser behind.
struct Session {
    port: u16,
    id: String,
}

impl Drop for Session {
    fn drop(&mut self) {
        let Ok(mut driver) = TcpStream::connect(("127.0.0.1", self.port)) else {
            return;
        };
        let _ = driver.set_read_timeout(Some(Duration::from_secs(10)));
        let asked = write!(
            driver,
            "DELETE /session/{} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n",
            self.id, self.port
        );
        if asked.is_ok() {
            let _ = driver.read_to_end(&mut Vec::new());
        }
    }
}

/// The first line of a program's output that has `mark` in it.
fn line(child: &mut Child, mark: &str) -> String {
    let mut out = BufReader::new(child.stdout.take().unwrap());
    loop {
        let mut line = String::new();
        assert!(
            out.read_line(&mut line).unwrap() > 0,
            "it ended without a word of {mark:?}"
        );
        if line.contains(mark) {
            // It goes on writing, and somebody has to read it.
            std::thread::spawn(move || std::io::copy(&mut out, &mut std::io::sink()));
            return line;
        }
    }
}

/// A window of this size, on a phone or not.
pub struct Window {
    pub width: u32,
    pub height: u32,
    pub arguments: &'static [&'static str],
}

/// The page in a browser.
pub struct Shown {
    pub client: Client,
    // In the order in which they end.
    _session: Session,
    _program: Owned,
    _driver: Owned,
}

/// Browsers that show the page: a practice is played as it passes, so several wait side by side.
static BROWSERS: RwLock<()> = RwLock::new(());

/// Plays `part` in a browser that shows the page, if one is installed.
pub fn in_browser<F: Future<Output = ()>>(arguments: &[&str], window: &Window, part: impl FnOnce(Shown) -> F) {
    let _one_of_several = BROWSERS.read().unwrap_or_else(PoisonError::into_inner);
    played(arguments, window, part);
}

/// The same in the only browser: what is measured in it is not the other ones' work.
pub fn in_only_browser<F: Future<Output = ()>>(arguments: &[&str], window: &Window, part: impl FnOnce(Shown) -> F) {
    let _alone = BROWSERS.write().unwrap_or_else(PoisonError::into_inner);
    played(arguments, window, part);
}

fn played<F: Future<Output = ()>>(arguments: &[&str], window: &Window, part: impl FnOnce(Shown) -> F) {
    let mut command = Command::new("chromedriver");
    command.arg("--port=0").stdout(Stdio::piped()).stderr(Stdio::null());
    let mut driver = match command.spawn() {
        Ok(child) => Owned(child),
        Err(error) => {
            assert!(
                std::env::var_os("CI").is_none_or(|ci| ci != "true"),
                "no chromedriver: {error}"
            );
            eprintln!("skipped: no chromedriver ({error}); Debian has it as chromium-driver");
            return;
        }
    };
    let told = line(&mut driver.0, "started successfully on port ");
    let digits = told.trim_start_matches(|c: char| !c.is_ascii_digit());
    let digits: String = digits.chars().take_while(char::is_ascii_digit).collect();
    let port: u16 = digits.parse().unwrap();
    let home = tempfile::tempdir().unwrap();
    let mut program = Owned(
        Command::new(env!("CARGO_BIN_EXE_needlebench"))
            .args(["practise", "--no-open"])
            .args(arguments)
            .env("XDG_DATA_HOME", home.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap(),
    );
    let address = line(&mut program.0, "http://").trim().to_string();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(async {
        let mut browser = vec![
            "--headless=new".to_string(),
            "--no-sandbox".to_string(),
            "--autoplay-policy=no-user-gesture-required".to_string(),
            format!("--window-size={},{}", window.width, window.height),
        ];
        browser.extend(window.arguments.iter().map(ToString::to_string));
        let capabilities = json!({"browserName": "chrome", "goog:chromeOptions": {"args": browser}});
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(capabilities.as_object().unwrap().clone())
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .expect("chromium starts");
        let session = Session {
            port,
            id: client.session_id().await.unwrap().expect("a session"),
        };
        // The window's frame counts, even where there is none to be seen.
        client.set_window_size(window.width, window.height).await.unwrap();
        let inner = client
            .execute("return [innerWidth, innerHeight]", vec![])
            .await
            .unwrap();
        let (width, height) = (inner[0].as_u64().unwrap() as u32, inner[1].as_u64().unwrap() as u32);
        let (more, higher) = (
            window.width - width.min(window.width),
            window.height - height.min(window.height),
        );
        client
            .set_window_size(window.width + more, window.height + higher)
            .await
            .unwrap();
        client.goto(&address).await.unwrap();
        part(Shown {
            client,
            _session: session,
            _program: program,
            _driver: driver,
        })
        .await;
    });
}

impl Shown {
    /// What a script says.
    pub async fn script(&self, script: &str) -> Value {
        self.client.execute(script, vec![]).await.unwrap()
    }

    /// Waits until an expression is true there.
    pub async fn until(&self, expression: &str) {
        let begun = Instant::now();
        while self.script(&format!("return Boolean({expression})")).await != true {
            assert!(begun.elapsed() < PATIENCE, "waited for {expression}");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    /// Presses a button as a pointer does, brought into view if need be.
    pub async fn click(&self, css: &str) {
        self.script(&format!(
            "document.querySelector({css:?}).scrollIntoView({{block: 'center'}})"
        ))
        .await;
        self.client
            .find(Locator::Css(css))
            .await
            .unwrap()
            .click()
            .await
            .unwrap();
    }

    /// Presses a key and lets it go after a while.
    pub async fn key(&self, value: char, held_ms: u64) {
        let keys = KeyActions::new("keys".to_string())
            .then(KeyAction::Down { value })
            .then(KeyAction::Pause {
                duration: Duration::from_millis(held_ms),
            })
            .then(KeyAction::Up { value });
        self.client.perform_actions(keys).await.unwrap();
    }

    /// Drags around the centre of an element by so many steps of 15°, clockwise if positive.
    pub async fn drag_round(&self, css: &str, steps: i32) {
        self.script(&format!(
            "document.querySelector({css:?}).scrollIntoView({{block: 'center'}})"
        ))
        .await;
        let place = self
            .script(&format!(
                "const b = document.querySelector({css:?}).getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2, b.width / 3]"
            ))
            .await;
        let [x, y, radius] = [0, 1, 2].map(|at| place[at].as_f64().unwrap());
        let at = |step: f64| {
            let angle = (15.0 * step).to_radians();
            PointerAction::MoveTo {
                duration: Some(Duration::from_millis(30)),
                x: (x + radius * angle.cos()).round(),
                y: (y + radius * angle.sin()).round(),
            }
        };
        let mut mouse = MouseActions::new("mouse".to_string())
            .then(at(0.0))
            .then(PointerAction::Down { button: 0 });
        for step in 1..=steps.abs() {
            mouse = mouse.then(at(f64::from(step * steps.signum())));
        }
        // A hand goes a little over the last click.
        mouse = mouse
            .then(at(f64::from(steps) + 0.4 * f64::from(steps.signum())))
            .then(PointerAction::Up { button: 0 });
        self.client.perform_actions(mouse).await.unwrap();
    }
}
