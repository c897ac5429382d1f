//! Small repositories in temporary folders, and runs of the whole program in them.

#![allow(dead_code)]

pub mod browser;

pub mod editor;

pub mod git;

use assert_cmd::Command;
use std::path::PathBuf;
use tempfile::TempDir;

/// A workshop's own rulebook, for tests which must not depend on what the built-in one says.
pub const WORKSHOP: &str = include_str!("../data/shop/workshop.yaml");

/// A build in two files that breaks two rules of [`WORKSHOP`], leaves one unproven and one unmeasured.
pub const BUILD: &str = "\
tramgauge: 1
build: {name: Marlow estate}
sections: [driveline.yaml, tanks.yaml]
fuel:
  pumps:
    - pump: lift
      place: frame
      draws_from: main
      inlet_height: 360 mm
";

/// The driveline of [`BUILD`].
pub const DRIVELINE: &str = "\
driveline:
  line:
    - shaft: front section
      slope: 4.5 deg
    - joint: middle
      kind: cardan
    - shaft: rear section
      slope: 0.6° ± 0.2°
    - joint: rear
      kind: cardan
    - shaft: stub
      slope: 3.5° ± 0.2°
";

/// The tanks of [`BUILD`].
pub const TANKS: &str = "\
fuel:
  tanks:
    - tank: main
      lowest_level: 310 mm
";

/// A repository.
pub struct Workshop {
    folder: TempDir,
}

/// What a run gave.
pub struct Run {
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
    /// Exit status.
    pub status: i32,
}

impl Workshop {
    /// A repository with these files.
    pub fn new(files: &[(&str, &str)]) -> Workshop {
        let workshop = Workshop { folder: TempDir::new().expect("a temporary folder") };
        std::fs::create_dir(workshop.path(".git")).expect("a folder");
        for (name, text) in files {
            workshop.write(name, text.as_bytes());
        }
        workshop
    }

    /// The example build with the workshop's own rulebook. Hardly anything of it is measured, which holds nothing up here.
    pub fn with_build() -> Workshop {
        Workshop::new(&[
            ("tramgauge.yaml", "holding: {running: {unmeasured: none}}\n"),
            ("builds/marlow/build.yaml", BUILD),
            ("builds/marlow/driveline.yaml", DRIVELINE),
            ("builds/marlow/tanks.yaml", TANKS),
            ("shop-rules/workshop/workshop.yaml", WORKSHOP),
        ])
    }

    /// A repository that holds an example build under the same path, wherever this checkout stands.
    pub fn with_example(build: &str) -> Workshop {
        Workshop::with_examples(&[(build, &format!("examples/{build}")), ("parts", "examples/parts")])
    }

    /// A repository that holds folders of the examples, each by its name there and its path here.
    pub fn with_examples(folders: &[(&str, &str)]) -> Workshop {
        let workshop = Workshop::new(&[]);
        for (folder, to) in folders {
            let from = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("examples").join(folder);
            for entry in std::fs::read_dir(from).expect("the example's folder") {
                let path = entry.expect("an entry").path();
                let name = path.file_name().and_then(|name| name.to_str()).expect("a name in UTF-8");
                workshop.write(&format!("{to}/{name}"), &std::fs::read(&path).expect("a file"));
            }
        }
        workshop
    }

    /// The place of a file.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file.
    pub fn write(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, bytes).expect("a file");
    }

    /// The program, ready to run at the repository's root.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::cargo_bin("tramgauge").expect("the program");
        command.current_dir(self.folder.path()).env_remove("NO_COLOR").args(arguments);
        command
    }

    /// Runs the program at the repository's root.
    pub fn run(&self, arguments: &[&str]) -> Run {
        let output = self.command(arguments).output().expect("a run");
        Run {
            out: String::from_utf8(output.stdout).expect("UTF-8"),
            err: String::from_utf8(output.stderr).expect("UTF-8"),
            status: output.status.code().expect("an exit status"),
        }
    }
}
