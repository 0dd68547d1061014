//! Keys, mouse and fingers, as the browser gets them from its window.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::Browser;

/// Keys that write no letter, with their numbers of the DOM (UI Events, "legacy key attributes").
const KEYS: [(&str, u32); 13] = [
    ("Tab", 9),
    ("Enter", 13),
    ("Escape", 27),
    (" ", 32),
    ("PageUp", 33),
    ("PageDown", 34),
    ("End", 35),
    ("Home", 36),
    ("ArrowLeft", 37),
    ("ArrowUp", 38),
    ("ArrowRight", 39),
    ("ArrowDown", 40),
    ("Delete", 46),
];

impl Browser {
    /// Presses and releases a key.
    pub fn press(&mut self, key: &str, code: u32) {
        self.press_with(key, code, 0);
    }

    /// Presses and releases a key by its name.
    pub fn key(&mut self, key: &str) {
        self.press_with(key, code_of(key), 0);
    }

    /// The same while Shift is held.
    pub fn key_with_shift(&mut self, key: &str) {
        self.press_with(key, code_of(key), 8);
    }

    fn press_with(&mut self, key: &str, code: u32, modifiers: u32) {
        // these two do something only as letters
        let text = match key {
            "Enter" => Some("\r"),
            " " => Some(" "),
            _ => None,
        };
        let name = if key == " " { "Space" } else { key };
        for kind in ["keyDown", "keyUp"] {
            let mut params = json!({ "type": kind, "key": key, "code": name, "windowsVirtualKeyCode": code, "modifiers": modifiers });
            match text.filter(|_| kind == "keyDown") {
                Some(text) => params["text"] = text.into(),
                None if kind == "keyDown" => params["type"] = "rawKeyDown".into(),
                None => {}
            }
            self.call("Input.dispatchKeyEvent", params);
        }
    }

    /// Writes into what has the focus, in place of all that stands there.
    pub fn write(&mut self, text: &str) {
        self.select_all();
        self.call("Input.insertText", json!({ "text": text }));
    }

    /// Presses the keys of letters one after the other, as for a list that is searched by what is typed.
    pub fn letters(&mut self, text: &str) {
        for letter in text.chars() {
            for kind in ["keyDown", "keyUp"] {
                let mut params = json!({ "type": kind, "key": letter.to_string() });
                if kind == "keyDown" {
                    params["text"] = letter.to_string().into();
                }
                self.call("Input.dispatchKeyEvent", params);
            }
        }
    }

    fn select_all(&mut self) {
        for kind in ["rawKeyDown", "keyUp"] {
            let params = json!({ "type": kind, "key": "a", "code": "KeyA", "windowsVirtualKeyCode": 65,
                                 "modifiers": 2, "commands": if kind == "keyUp" { json!([]) } else { json!(["selectAll"]) } });
            self.call("Input.dispatchKeyEvent", params);
        }
    }

    /// Presses the left button of a mouse at a point.
    pub fn click(&mut self, x: f64, y: f64) {
        for kind in ["mousePressed", "mouseReleased"] {
            self.mouse(kind, (x, y));
        }
    }

    /// Touches a point with a finger for a moment.
    pub fn tap(&mut self, x: f64, y: f64) {
        self.swipe(&[(x, y)]);
    }

    /// Presses the left button of a mouse at one point, moves it to another in a few steps, and lets go.
    pub fn drag(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.pull(from, to);
        self.mouse("mouseReleased", to);
    }

    /// A drag that has not ended: the button is still down.
    pub fn pull(&mut self, from: (f64, f64), to: (f64, f64)) {
        let steps = 5;
        self.mouse("mousePressed", from);
        for step in 0..=steps {
            let share = f64::from(step) / f64::from(steps);
            self.mouse("mouseMoved", (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1)));
        }
    }

    /// One event of a mouse with its left button: `mousePressed`, `mouseMoved` or `mouseReleased`.
    pub fn mouse(&mut self, kind: &str, at: (f64, f64)) {
        self.call("Input.dispatchMouseEvent", mouse(kind, at));
    }

    /// Moves a mouse whose button is down through points, so many a second, whatever the page is about: as a hand does,
    /// which waits for nobody.
    pub fn move_at(&mut self, points: &[(f64, f64)], per_s: f64) {
        let start = Instant::now();
        for (i, point) in points.iter().enumerate() {
            let due = Duration::from_secs_f64(i as f64 / per_s);
            std::thread::sleep(due.saturating_sub(start.elapsed()));
            self.post("Input.dispatchMouseEvent", mouse("mouseMoved", *point));
        }
        // answered after all that went before
        self.ask("0");
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
}

fn code_of(key: &str) -> u32 {
    KEYS.iter().find(|(name, _)| *name == key).unwrap_or_else(|| panic!("a key named {key}")).1
}

fn mouse(kind: &str, (x, y): (f64, f64)) -> Value {
    json!({ "type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1 })
}
