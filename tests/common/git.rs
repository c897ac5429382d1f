//! Repositories of the real `git`, without anyone's settings, and runs of the program in them.

use super::{Run, Workshop};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Settings under which nothing is held up for want of values.
pub const SETTINGS: &str = "holding: {running: {unmeasured: none}}\n";

/// A build whose pump draws at that height, in mm; above 310 it breaks one rule of the workshop's.
pub fn build(height: u32) -> String {
    format!(
        "tramgauge: 1\nbuild: {{name: A build}}\nfuel:\n  tanks: [{{tank: main, lowest_level: 310 mm}}]\n  pumps:\n    - pump: lift\n      place: frame\n      draws_from: main\n      inlet_height: {height} mm\n"
    )
}

/// A repository with the workshop's rules, and the settings committed.
pub struct Place {
    pub workshop: Workshop,
}

impl Place {
    /// An empty repository with the workshop's rules and settings, nothing committed.
    pub fn fresh() -> Place {
        let workshop =
            Workshop::new(&[("shop-rules/workshop/workshop.yaml", super::WORKSHOP), ("tramgauge.yaml", SETTINGS)]);
        std::fs::remove_dir(workshop.path(".git")).expect("a folder that is empty");
        let place = Place { workshop };
        place.git(&["init", "-q", "-b", "main"]);
        for (key, value) in
            [("user.name", "A. Tester"), ("user.email", "tester@example.org"), ("commit.gpgsign", "false")]
        {
            place.git(&["config", key, value]);
        }
        place
    }

    /// The same with that committed.
    pub fn new() -> Place {
        let place = Place::fresh();
        place.commit();
        place
    }

    /// The root.
    pub fn root(&self) -> PathBuf {
        self.workshop.path("")
    }

    /// Writes a file.
    pub fn write(&self, name: &str, text: &str) {
        self.workshop.write(name, text.as_bytes());
    }

    /// Runs git at the root; it must succeed.
    pub fn git(&self, arguments: &[&str]) -> String {
        let run = self.try_git(&self.root(), arguments);
        assert_eq!(run.status, 0, "{arguments:?}: {}{}", run.out, run.err);
        run.out
    }

    /// Runs git in a folder.
    pub fn try_git(&self, folder: &Path, arguments: &[&str]) -> Run {
        ran(bare("git").args(arguments).current_dir(folder))
    }

    /// Stages and commits everything, past any hook.
    pub fn commit(&self) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "--no-verify", "-m", "state"]);
    }

    /// Judges what is staged, from a folder; gives the exit status and the workshop's findings, `path rule subject`.
    pub fn staged_in(&self, folder: &Path, more: &[&str]) -> (i32, Vec<String>) {
        let arguments = [&["inspect", "--staged", "--on", "2026-06-01", "--as", "json"], more].concat();
        let run = ran(bare(program()).args(arguments).current_dir(folder));
        if run.status == 2 && run.out.is_empty() {
            return (2, vec![run.err]);
        }
        (run.status, findings(&run.out))
    }

    /// The same at the root.
    pub fn staged(&self) -> (i32, Vec<String>) {
        self.staged_in(&self.root(), &[])
    }
}

/// The program.
pub fn program() -> &'static str {
    env!("CARGO_BIN_EXE_tramgauge")
}

/// A command without the settings of whoever runs the tests, and without what a hook around them would say.
pub fn bare(program: &str) -> Command {
    let mut command = Command::new(program);
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("GIT_") {
            command.env_remove(name);
        }
    }
    command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1").env_remove("NO_COLOR");
    command
}

/// Runs a command.
pub fn ran(command: &mut Command) -> Run {
    let output = command.output().expect("a run");
    Run {
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
        status: output.status.code().expect("an exit status"),
    }
}

/// The workshop's findings in a JSON answer, and the errors of specs.
pub fn findings(json: &str) -> Vec<String> {
    let json: serde_json::Value = serde_json::from_str(json).unwrap_or_else(|error| panic!("{error}: {json}"));
    let mut all = Vec::new();
    for build in json["builds"].as_array().expect("builds") {
        let path = build["path"].as_str().expect("a path");
        for error in build["errors"].as_array().expect("errors") {
            all.push(format!("{path} error: {}", error["message"].as_str().expect("a message")));
        }
        for finding in build["findings"].as_array().expect("findings") {
            let rule = finding["rule"].as_str().expect("a rule");
            if rule.starts_with("workshop.") {
                all.push(format!("{path} {rule} {}", finding["subject"].as_str().expect("a subject")));
            }
        }
    }
    all
}

/// Begins a repository in a workshop, and commits what is in it.
pub fn commit_all(workshop: &Workshop) {
    // What stands in for a repository where none is wanted.
    let stands_in = std::fs::remove_dir(workshop.path(".git"));
    let settings = ["-c", "user.name=A. Tester", "-c", "user.email=tester@example.org", "-c", "commit.gpgsign=false"];
    let begin: &[&str] = &["init", "-q", "-b", "main"];
    let all = [begin, &["add", "-A"], &["commit", "-q", "-m", "state"]];
    for arguments in all.into_iter().skip(usize::from(stands_in.is_err())) {
        let run = ran(bare("git").args(settings).args(arguments).current_dir(workshop.path("")));
        assert_eq!(run.status, 0, "{arguments:?}: {}{}", run.out, run.err);
    }
}

/// Changes texts of a build's sections; each must stand there once.
pub fn edited(workshop: &Workshop, folder: &str, edits: &[(&str, &str, &str)]) {
    for (file, old, new) in edits {
        let name = format!("{folder}/{file}");
        let text = std::fs::read_to_string(workshop.path(&name)).expect("a section");
        assert_eq!(text.matches(old).count(), 1, "{old}");
        workshop.write(&name, text.replace(old, new).as_bytes());
    }
}

/// The sound example, committed, and then changed in a spring, a bore, a slope, a joint's place and the wheelbase; a load and a lowest place
/// are gone.
pub fn changed_example() -> Workshop {
    let workshop = Workshop::with_example("lark-roadster");
    commit_all(&workshop);
    let silencer = "    - {point: silencer, part: exhaust, behind_front_axle: 1500 mm, off_centre: 380 mm, height: 158 mm, moves_with: body}\n";
    let headlamps =
        "    - {load: headlamps, purpose: headlamps, current: 9.4 A, wire: headlamp feed, returns_by: nose ground}\n";
    edited(
        &workshop,
        "examples/lark-roadster",
        &[
            ("suspension.yaml", "rate: {is: 33 N/mm", "rate: {is: 45 N/mm"),
            ("brakes.yaml", "bore: 0.700 in", "bore: 13/16 in"),
            ("driveline.yaml", "slope: {is: 0.4°", "slope: {is: 2.9°"),
            ("driveline.yaml", "outer_at: [-2350 mm, 552 mm, 274 mm]", "outer_at: [-2350 mm, 560 mm, 250 mm]"),
            ("vehicle.yaml", "wheelbase: {is: 2350 mm", "wheelbase: {is: 2355 mm"),
            ("underside.yaml", silencer, ""),
            ("electrical.yaml", headlamps, ""),
        ],
    );
    workshop
}
