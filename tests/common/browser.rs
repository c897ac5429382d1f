//! A browser without a window, where one is installed.

use std::path::Path;
use std::process::{Command, Output};

/// What a browser may be called.
pub const BROWSERS: [&str; 3] = ["chromium", "chromium-browser", "chrome"];

/// The first browser that is installed.
pub fn browser() -> Option<&'static str> {
    BROWSERS.into_iter().find(|name| Command::new(name).arg("--version").output().is_ok_and(|o| o.status.success()))
}

/// Opens a page in a browser, with more arguments; `folder` takes its profile. No name is looked up in any network.
pub fn open(browser: &str, folder: &Path, more: &[&str], page: &Path) -> Output {
    let mut command = Command::new(browser);
    command.args([
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        "--host-resolver-rules=MAP * ~NOTFOUND",
    ]);
    command.args(["--disable-background-networking", "--disable-component-update", "--disable-sync"]);
    command.arg(format!("--user-data-dir={}", folder.join("profile").display()));
    command.args(["--allow-file-access-from-files", "--enable-logging=stderr", "--virtual-time-budget=8000"]);
    command.args(more).arg(format!("file://{}", page.display())).output().expect("a run of the browser")
}
