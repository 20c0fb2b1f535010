//! A browser without a window, driven through its own pipe (`--remote-debugging-pipe`): commands of the DevTools
//! Protocol in JSON, each ended by a zero byte, in at descriptor 3 and out at 4 (Chromium's documentation,
//! devtools/devtools_pipe_handler.cc).

use serde_json::{Value, json};
use std::fs::File;
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long a slow machine is waited for.
const PATIENCE: Duration = Duration::from_secs(40);

/// A browser with one page.
pub(crate) struct Browser {
    _folder: TempDir,
    child: Child,
    to: File,
    from: BufReader<File>,
    session: String,
    sent: u64,
}

impl Drop for Browser {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

impl Browser {
    /// A page so many px wide and high, or `None` with a loud word where no Chromium is. On a build server (CI set)
    /// that is a failure.
    pub(crate) fn open(width: u32, height: u32) -> Option<Self> {
        let runs = |tool: &str| {
            let found =
                Command::new(tool).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
            found.is_ok_and(|status| status.success())
        };
        if !runs("chromium") || !runs("mkfifo") {
            assert!(std::env::var_os("CI").is_none(), "chromium is missing");
            super::say("NOT TESTED, no phone's page was opened: chromium is missing");
            return None;
        }
        let folder = TempDir::new().unwrap();
        let (inward, outward) = (folder.path().join("in"), folder.path().join("out"));
        for pipe in [&inward, &outward] {
            assert!(Command::new("mkfifo").arg(pipe).status().unwrap().success());
        }
        let child = Command::new("sh")
            .args([
                "-c",
                "exec chromium --headless=new --no-sandbox --disable-gpu --disable-dev-shm-usage --no-first-run \
                 --user-data-dir=\"$1\" --remote-debugging-pipe about:blank 3<\"$2\" 4>\"$3\"",
                "sh",
            ])
            .args([folder.path().join("profile"), inward.clone(), outward.clone()])
            .env("HOME", folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // In the order in which the shell opens them: each waits for its other end.
        let to = File::options().write(true).open(&inward).unwrap();
        let from = BufReader::new(File::open(&outward).unwrap());
        let mut browser = Self { _folder: folder, child, to, from, session: String::new(), sent: 0 };
        let page = browser.tell("Target.createTarget", json!({ "url": "about:blank" }));
        let page = page["targetId"].as_str().unwrap().to_owned();
        let session = browser.tell("Target.attachToTarget", json!({ "targetId": page, "flatten": true }));
        browser.session = session["sessionId"].as_str().unwrap().to_owned();
        browser.tell(
            "Emulation.setDeviceMetricsOverride",
            json!({ "width": width, "height": height, "deviceScaleFactor": 2, "mobile": true }),
        );
        Some(browser)
    }

    /// Sends a command and waits for what it answers; what happens meanwhile is passed over.
    fn tell(&mut self, method: &str, parameters: Value) -> Value {
        self.sent += 1;
        let mut command = json!({ "id": self.sent, "method": method, "params": parameters });
        if !self.session.is_empty() {
            command["sessionId"] = json!(self.session);
        }
        self.to.write_all(format!("{command}\0").as_bytes()).unwrap();
        loop {
            let mut answer = Vec::new();
            self.from.read_until(0, &mut answer).unwrap();
            answer.pop();
            let answer: Value = serde_json::from_slice(&answer).unwrap();
            if answer["id"] == json!(self.sent) {
                assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
                return answer["result"].clone();
            }
        }
    }

    /// Goes to an address.
    pub(crate) fn visit(&mut self, address: &str) {
        self.tell("Page.navigate", json!({ "url": address }));
    }

    /// The value of an expression on the page.
    pub(crate) fn value(&mut self, expression: &str) -> Value {
        let told = json!({ "expression": expression, "returnByValue": true });
        self.tell("Runtime.evaluate", told)["result"]["value"].clone()
    }

    /// Waits until an expression on the page is true.
    pub(crate) fn until(&mut self, expression: &str) {
        let start = Instant::now();
        while self.value(expression) != json!(true) {
            assert!(start.elapsed() < PATIENCE, "not within {PATIENCE:?}: {expression}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// A finger taps a place of the page, in px.
    pub(crate) fn tap(&mut self, x: f64, y: f64) {
        let at = json!([{ "x": x, "y": y }]);
        self.tell("Input.dispatchTouchEvent", json!({ "type": "touchStart", "touchPoints": at }));
        self.tell("Input.dispatchTouchEvent", json!({ "type": "touchEnd", "touchPoints": [] }));
    }
}
