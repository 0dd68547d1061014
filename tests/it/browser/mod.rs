//! A headless Chromium, driven over its DevTools protocol (<https://chromedevtools.github.io/devtools-protocol/>).
//!
//! Just what the tests of a page need: open, ask, press, print. Every wait has an end, and the browser ends with the
//! test, whatever becomes of it.

use std::io::Write as _;
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use base64::Engine as _;
use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// Longest wait for anything: a busy machine takes seconds to start a browser, and no test should hang for minutes.
const PATIENCE: Duration = Duration::from_secs(60);

/// Where a Chromium is: `LIGHTPOINT_CHROMIUM`, or the first of the usual names on the path.
pub fn find() -> Option<PathBuf> {
    if let Some(named) = std::env::var_os("LIGHTPOINT_CHROMIUM") {
        return Some(PathBuf::from(named));
    }
    let folders: Vec<PathBuf> = std::env::split_paths(&std::env::var_os("PATH")?).collect();
    let names = ["chromium", "chromium-browser", "google-chrome", "chrome"];
    names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|path| path.is_file())
}

/// A browser, or `None` after saying so plainly. With `LIGHTPOINT_REQUIRE_BROWSER=1` its absence is a failure.
pub fn browser(test: &str) -> Option<Browser> {
    match find() {
        Some(path) => Some(Browser::launch(&path)),
        None if std::env::var_os("LIGHTPOINT_REQUIRE_BROWSER").is_some_and(|value| value == "1") => {
            panic!("{test}: no Chromium was found, and LIGHTPOINT_REQUIRE_BROWSER=1 asks for one")
        }
        None => {
            // not by the macro, whose output a passing test hides
            let line = format!("\nLEFT OUT: {test} needs Chromium on the path, or named by LIGHTPOINT_CHROMIUM\n");
            let _ = std::io::stderr().write_all(line.as_bytes());
            None
        }
    }
}

/// A running browser with one tab.
pub struct Browser {
    child: Child,
    socket: WebSocket<TcpStream>,
    session: String,
    next: u64,
    /// What the console said and what the network was asked for since the last page was opened.
    pub heard: Vec<String>,
    loaded: bool,
    _profile: tempfile::TempDir,
}

impl Browser {
    fn launch(path: &Path) -> Self {
        let profile = tempfile::tempdir().unwrap();
        let mut child = Command::new(path)
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--disable-dev-shm-usage",
                "--remote-debugging-port=0",
            ])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|error| panic!("{} does not start: {error}", path.display()));
        let address = match devtools_address(&mut child, profile.path()) {
            Ok(address) => address,
            Err(why) => {
                let _ = child.kill();
                let _ = child.wait();
                panic!("{}: {why}", path.display());
            }
        };
        let stream = TcpStream::connect(("127.0.0.1", address.0)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        let (socket, _) = tungstenite::client(format!("ws://127.0.0.1:{}{}", address.0, address.1), stream).unwrap();
        let mut browser = Self {
            child,
            socket,
            session: String::new(),
            next: 0,
            heard: Vec::new(),
            loaded: false,
            _profile: profile,
        };
        let target = browser.call("Target.createTarget", json!({ "url": "about:blank" }));
        let target = target["targetId"].as_str().unwrap().to_owned();
        let attached = browser.call("Target.attachToTarget", json!({ "targetId": target, "flatten": true }));
        browser.session = attached["sessionId"].as_str().unwrap().to_owned();
        for domain in ["Page", "Runtime", "Log", "Network"] {
            browser.call(&format!("{domain}.enable"), json!({}));
        }
        browser
    }

    /// Calls a method and waits for its answer.
    pub fn call(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        let mut message = json!({ "id": id, "method": method, "params": params });
        if !self.session.is_empty() {
            message["sessionId"] = self.session.as_str().into();
        }
        self.socket.send(Message::text(message.to_string())).unwrap();
        let start = Instant::now();
        loop {
            assert!(start.elapsed() < PATIENCE, "{method}: no answer");
            let message = self.receive();
            if message["id"] == id {
                assert!(message.get("error").is_none(), "{method}: {}", message["error"]);
                return message["result"].clone();
            }
        }
    }

    fn receive(&mut self) -> Value {
        loop {
            let message = self.socket.read().unwrap_or_else(|error| panic!("the browser says nothing more: {error}"));
            let Message::Text(text) = message else { continue };
            let value: Value = serde_json::from_str(&text).unwrap();
            let params = &value["params"];
            match value["method"].as_str() {
                Some("Runtime.exceptionThrown") => {
                    self.heard.push(format!("exception: {}", params["exceptionDetails"]))
                }
                Some("Runtime.consoleAPICalled") => self.heard.push(format!("console: {}", params["args"])),
                Some("Log.entryAdded") => self.heard.push(format!("log: {}", params["entry"]["text"])),
                Some("Network.requestWillBeSent") => {
                    let url = params["request"]["url"].as_str().unwrap_or_default();
                    if params["type"] != "Document" && !url.starts_with("data:") {
                        self.heard.push(format!("request: {url}"));
                    }
                }
                Some("Page.loadEventFired") => self.loaded = true,
                _ => {}
            }
            return value;
        }
    }

    /// Opens a file in a window of this size.
    pub fn open(&mut self, file: &Path, width_px: u32, height_px: u32) {
        let phone = width_px < 600;
        let metrics = json!({ "width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": phone });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
        self.call("Emulation.setTouchEmulationEnabled", json!({ "enabled": phone }));
        self.heard.clear();
        self.loaded = false;
        let answer = self.call("Page.navigate", json!({ "url": format!("file://{}", file.display()) }));
        assert!(answer.get("errorText").is_none(), "{answer}");
        let start = Instant::now();
        while !self.loaded {
            assert!(start.elapsed() < PATIENCE, "{} does not load", file.display());
            self.receive();
        }
    }

    /// The value of an expression; a promise is awaited.
    pub fn ask(&mut self, expression: &str) -> Value {
        let params = json!({ "expression": expression, "returnByValue": true, "awaitPromise": true });
        let answer = self.call("Runtime.evaluate", params);
        assert!(answer.get("exceptionDetails").is_none(), "{expression}: {}", answer["exceptionDetails"]);
        answer["result"]["value"].clone()
    }

    /// The text of the first element that a selector finds.
    pub fn text(&mut self, selector: &str) -> String {
        self.ask(&format!("document.querySelector({}).textContent", json!(selector))).as_str().unwrap().to_owned()
    }

    /// Presses and releases a key.
    pub fn press(&mut self, key: &str, code: u32) {
        for kind in ["rawKeyDown", "keyUp"] {
            let params = json!({ "type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code });
            self.call("Input.dispatchKeyEvent", params);
        }
    }

    /// Middle and size of an element on the screen, after scrolling it into view: x, y, width.
    pub fn place(&mut self, selector: &str) -> (f64, f64, f64) {
        let place = self.ask(&format!(
            "(() => {{ const e = document.querySelector({}); e.scrollIntoView({{block: 'center', behavior: 'instant'}}); \
             const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2, b.width]; }})()",
            json!(selector)
        ));
        let number = |i: usize| place[i].as_f64().unwrap();
        (number(0), number(1), number(2))
    }

    /// Presses the left button of a mouse at a point.
    pub fn click(&mut self, x: f64, y: f64) {
        for kind in ["mousePressed", "mouseReleased"] {
            let params = json!({ "type": kind, "x": x, "y": y, "button": "left", "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", params);
        }
    }

    /// Presses the left button of a mouse at one point, moves it to another in a few steps, and lets go.
    pub fn drag(&mut self, from: (f64, f64), to: (f64, f64)) {
        let steps = 5;
        let mut event = |kind: &str, step: u32| {
            let share = f64::from(step) / f64::from(steps);
            let (x, y) = (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
            let params = json!({ "type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", params);
        };
        event("mousePressed", 0);
        (0..=steps).for_each(|step| event("mouseMoved", step));
        event("mouseReleased", steps);
    }

    /// Whether pages are opened as by a reader who prefers dark ones.
    pub fn prefer_dark(&mut self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        let features = json!([{ "name": "prefers-color-scheme", "value": value }]);
        self.call("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// Puts a finger down, moves it through some points, and lifts it.
    pub fn swipe(&mut self, points: &[(f64, f64)]) {
        for (i, (x, y)) in points.iter().enumerate() {
            let kind = if i == 0 { "touchStart" } else { "touchMove" };
            let params = json!({ "type": kind, "touchPoints": [{ "x": x, "y": y }] });
            self.call("Input.dispatchTouchEvent", params);
        }
        self.call("Input.dispatchTouchEvent", json!({ "type": "touchEnd", "touchPoints": [] }));
    }

    /// How many pages the print has, on the paper that the page asks for.
    pub fn printed_pages(&mut self) -> usize {
        let answer = self.call("Page.printToPDF", json!({ "preferCSSPageSize": true, "printBackground": false }));
        let pdf = base64::engine::general_purpose::STANDARD.decode(answer["data"].as_str().unwrap()).unwrap();
        // the dictionaries of the page tree tell the numbers of pages under them, its root that of all
        let text = String::from_utf8_lossy(&pdf);
        let counts = text.split("/Type /Pages").skip(1).map(|tree| {
            let count = &tree[tree.find("/Count ").expect("a count") + 7..];
            count.chars().take_while(char::is_ascii_digit).collect::<String>().parse().unwrap()
        });
        counts.max().expect("a page tree")
    }

    /// A picture of the window, kept when `LIGHTPOINT_SCREENSHOTS` names a folder.
    pub fn keep_picture(&mut self, name: &str) {
        let Some(folder) = std::env::var_os("LIGHTPOINT_SCREENSHOTS") else { return };
        let answer = self.call("Page.captureScreenshot", json!({ "captureBeyondViewport": true }));
        let png = base64::engine::general_purpose::STANDARD.decode(answer["data"].as_str().unwrap()).unwrap();
        std::fs::write(Path::new(&folder).join(name), png).unwrap();
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        self.session.clear();
        let bye = json!({ "id": u64::from(u32::MAX), "method": "Browser.close" });
        let _ = self.socket.send(Message::text(bye.to_string()));
        let start = Instant::now();
        while start.elapsed() < Duration::from_secs(5) {
            if let Ok(Some(_)) = self.child.try_wait() {
                return;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Port and path of the protocol, which the browser writes into its folder once it is ready.
fn devtools_address(child: &mut Child, profile: &Path) -> Result<(u16, String), String> {
    let start = Instant::now();
    while start.elapsed() < PATIENCE {
        if let Ok(text) = std::fs::read_to_string(profile.join("DevToolsActivePort")) {
            let mut lines = text.lines();
            if let (Some(port), Some(path)) = (lines.next().and_then(|port| port.parse().ok()), lines.next()) {
                return Ok((port, path.to_owned()));
            }
        }
        if let Ok(Some(status)) = child.try_wait() {
            return Err(format!("it ended at once: {status}"));
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    Err("it does not listen".into())
}
