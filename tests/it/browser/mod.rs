//! A headless Chromium, driven over its DevTools protocol (<https://chromedevtools.github.io/devtools-protocol/>).
//!
//! Just what the tests of a page need: open and ask here, keys, mouse and fingers in `input`, what readers see and hear in
//! `look`, what the browser measures in `trace`. Every wait has an end, and the browser ends with the test, whatever
//! becomes of it.

mod input;
mod look;
mod trace;

use std::io::Write as _;
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// Longest wait for anything: a busy machine takes seconds to start a browser, and no test should hang for minutes.
const PATIENCE: Duration = Duration::from_secs(60);

/// One browser at a time: several at once on a small machine only wait for each other.
static ONE: Mutex<()> = Mutex::new(());

/// Where a Chromium is: `LIGHTPOINT_CHROMIUM`, or the first of the usual names on the path.
pub fn find() -> Option<PathBuf> {
    if let Some(named) = std::env::var_os("LIGHTPOINT_CHROMIUM") {
        return Some(PathBuf::from(named));
    }
    let folders: Vec<PathBuf> = std::env::split_paths(&std::env::var_os("PATH")?).collect();
    let names = ["chromium", "chromium-browser", "google-chrome", "chrome"];
    names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|path| path.is_file())
}

/// Says plainly that a test is left out, and what it needs. With `LIGHTPOINT_REQUIRE_BROWSER=1` that is a failure.
pub fn left_out(test: &str, needs: &str) {
    let is_required = std::env::var_os("LIGHTPOINT_REQUIRE_BROWSER").is_some_and(|value| value == "1");
    assert!(!is_required, "{test} needs {needs}, and LIGHTPOINT_REQUIRE_BROWSER=1 asks for it");
    // not by the macro, whose output a passing test hides
    let _ = std::io::stderr().write_all(format!("\nLEFT OUT: {test} needs {needs}\n").as_bytes());
}

/// A browser, or `None` after saying so plainly. Another test's browser is waited for.
pub fn browser(test: &str) -> Option<Browser> {
    let Some(path) = find() else {
        left_out(test, "Chromium on the path, or named by LIGHTPOINT_CHROMIUM");
        return None;
    };
    Some(Browser::launch(&path, ONE.lock().unwrap_or_else(PoisonError::into_inner)))
}

/// A running browser with one tab that is looked at.
pub struct Browser {
    child: Child,
    socket: WebSocket<TcpStream>,
    session: String,
    next: u64,
    /// What the console said and what the network was asked for since the last page was opened.
    pub heard: Vec<String>,
    loaded: bool,
    /// What a trace that is being taken has brought so far, and whether it has ended.
    traced: Vec<Value>,
    trace_is_complete: bool,
    /// What the reader prefers, in every tab.
    preferred: Value,
    profile: tempfile::TempDir,
    // after the profile: the next browser waits until this one has gone
    _alone: MutexGuard<'static, ()>,
}

impl Browser {
    fn launch(path: &Path, alone: MutexGuard<'static, ()>) -> Self {
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
            traced: Vec::new(),
            trace_is_complete: false,
            preferred: json!([]),
            profile,
            _alone: alone,
        };
        browser.new_tab();
        browser
    }

    /// A tab of its own, with nothing kept of what others stored in their session. Those before stay as they are.
    pub fn new_tab(&mut self) {
        self.session.clear();
        let target = self.call("Target.createTarget", json!({ "url": "about:blank" }));
        let target = target["targetId"].as_str().unwrap().to_owned();
        let attached = self.call("Target.attachToTarget", json!({ "targetId": target, "flatten": true }));
        self.session = attached["sessionId"].as_str().unwrap().to_owned();
        for domain in ["Page", "Runtime", "Log", "Network"] {
            self.call(&format!("{domain}.enable"), json!({}));
        }
        // a page's workers are listened to as the page is
        let attach = json!({ "autoAttach": true, "waitForDebuggerOnStart": false, "flatten": true });
        self.call("Target.setAutoAttach", attach);
        let preferred = self.preferred.clone();
        self.call("Emulation.setEmulatedMedia", json!({ "features": preferred }));
        // as if somebody sat before it, whatever other windows there are
        self.call("Page.bringToFront", json!({}));
        self.call("Emulation.setFocusEmulationEnabled", json!({ "enabled": true }));
        self.heard.clear();
    }

    /// Closes the tab and takes a new one: nothing that its page was about to do goes on beside the next.
    pub fn next_tab(&mut self) {
        let old = std::mem::take(&mut self.session);
        self.new_tab();
        self.post_to(&old, "Page.close", json!({}));
    }

    /// Sends a method's call to the tab, and its number.
    fn post(&mut self, method: &str, params: Value) -> u64 {
        let session = self.session.clone();
        self.post_to(&session, method, params)
    }

    fn post_to(&mut self, session: &str, method: &str, params: Value) -> u64 {
        self.next += 1;
        let mut message = json!({ "id": self.next, "method": method, "params": params });
        if !session.is_empty() {
            message["sessionId"] = session.into();
        }
        self.socket.send(Message::text(message.to_string())).unwrap();
        self.next
    }

    /// Calls a method and waits for its answer.
    pub fn call(&mut self, method: &str, params: Value) -> Value {
        let id = self.post(method, params);
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
            if let Some(method) = value["method"].as_str() {
                self.hear(method, &value["params"]);
            }
            return value;
        }
    }

    fn hear(&mut self, method: &str, params: &Value) {
        match method {
            "Runtime.exceptionThrown" => self.heard.push(format!("exception: {}", params["exceptionDetails"])),
            "Runtime.consoleAPICalled" => self.heard.push(format!("console: {}", params["args"])),
            // what the page's policy forbids is told here too
            "Log.entryAdded" => self.heard.push(format!("log: {}", params["entry"]["text"])),
            "Network.requestWillBeSent" => {
                let url = params["request"]["url"].as_str().unwrap_or_default();
                // data and blobs are in the page; the page itself is a file
                let is_the_page =
                    params["type"] == "Document" && (url.starts_with("file:") || url.starts_with("about:"));
                if !is_the_page && !url.starts_with("data:") && !url.starts_with("blob:") {
                    self.heard.push(format!("request: {url}"));
                }
            }
            "Page.loadEventFired" => self.loaded = true,
            // a page that the browser had kept is not loaded again
            "Page.frameNavigated" if params["type"] == "BackForwardCacheRestore" => self.loaded = true,
            // a question of the page that stops it: it is answered with yes
            "Page.javascriptDialogOpening" => {
                self.post("Page.handleJavaScriptDialog", json!({ "accept": true }));
            }
            "Target.attachedToTarget" if params["targetInfo"]["type"] != "page" => {
                let session = params["sessionId"].as_str().unwrap_or_default().to_owned();
                for domain in ["Runtime", "Log", "Network"] {
                    self.post_to(&session, &format!("{domain}.enable"), json!({}));
                }
            }
            "Tracing.dataCollected" => self.traced.extend(params["value"].as_array().cloned().unwrap_or_default()),
            "Tracing.tracingComplete" => self.trace_is_complete = true,
            _ => {}
        }
    }

    /// Opens a file in a window of this size.
    pub fn open(&mut self, file: &Path, width_px: u32, height_px: u32) {
        self.size(width_px, height_px);
        self.heard.clear();
        self.loaded = false;
        let answer = self.call("Page.navigate", json!({ "url": format!("file://{}", file.display()) }));
        assert!(answer.get("errorText").is_none(), "{answer}");
        self.wait_for_load();
    }

    /// Loads the page again, as by the key for it.
    pub fn reload(&mut self) {
        self.loaded = false;
        self.call("Page.reload", json!({}));
        self.wait_for_load();
    }

    /// Goes back or forth in the tab's history, by so many pages.
    pub fn travel(&mut self, pages: i64) {
        let history = self.call("Page.getNavigationHistory", json!({}));
        let there = history["currentIndex"].as_i64().unwrap() + pages;
        let entry = history["entries"][usize::try_from(there).unwrap()]["id"].clone();
        self.loaded = false;
        self.call("Page.navigateToHistoryEntry", json!({ "entryId": entry }));
        self.wait_for_load();
    }

    fn wait_for_load(&mut self) {
        let start = Instant::now();
        while !self.loaded {
            assert!(start.elapsed() < PATIENCE, "the page does not load");
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
