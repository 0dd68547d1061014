//! Windows and readers of many kinds, and what they get: places, names, prints, files, pictures.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use base64::Engine as _;
use serde_json::{Value, json};

use super::{Browser, PATIENCE};

impl Browser {
    /// A window of this size; a narrow one is a phone, with fingers.
    pub fn size(&mut self, width_px: u32, height_px: u32) {
        let phone = width_px < 600;
        let metrics = json!({ "width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": phone });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
        self.call("Emulation.setTouchEmulationEnabled", json!({ "enabled": phone }));
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

    /// Whether pages are opened as by a reader who prefers dark ones.
    pub fn prefer_dark(&mut self, dark: bool) {
        self.prefer(dark, false);
    }

    /// What the reader prefers: dark pages, little motion.
    pub fn prefer(&mut self, dark: bool, little_motion: bool) {
        self.preferred = json!([
            { "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } },
            { "name": "prefers-reduced-motion", "value": if little_motion { "reduce" } else { "no-preference" } },
        ]);
        let features = self.preferred.clone();
        self.call("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// The reader's own size of letters, 16 unless they change it: what pages and their media queries call a rem.
    pub fn letters_px(&mut self, px: u32) {
        self.call("Page.setFontSizes", json!({ "fontSizes": { "standard": px, "fixed": px * 13 / 16 } }));
    }

    /// What assistive technology is told about the page: the nodes that are not left out.
    pub fn spoken(&mut self) -> Vec<Value> {
        let tree = self.call("Accessibility.getFullAXTree", json!({}));
        let nodes = tree["nodes"].as_array().unwrap();
        nodes.iter().filter(|node| node["ignored"] != true).cloned().collect()
    }

    /// A folder into which the page's downloads go, without asking.
    pub fn take_downloads(&mut self) -> PathBuf {
        let folder = self.profile.path().join("taken");
        std::fs::create_dir_all(&folder).unwrap();
        let session = std::mem::take(&mut self.session);
        self.call(
            "Browser.setDownloadBehavior",
            json!({ "behavior": "allow", "downloadPath": folder.to_str().unwrap() }),
        );
        self.session = session;
        folder
    }

    /// Name and text of the one file that comes into the folder of downloads; it is taken away from there.
    pub fn downloaded(&mut self, folder: &Path) -> (String, String) {
        let start = Instant::now();
        loop {
            assert!(start.elapsed() < PATIENCE, "no file comes");
            // the page goes on meanwhile
            self.ask("0");
            let files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
            let name = |path: &Path| path.file_name().unwrap().to_string_lossy().into_owned();
            // while it comes it has another name
            if let [path] = &files[..]
                && !name(path).ends_with(".crdownload")
                && !name(path).starts_with(".")
            {
                let taken = (name(path), std::fs::read_to_string(path).unwrap());
                std::fs::remove_file(path).unwrap();
                return taken;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
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
