//! The `tramgauge` program: hands its arguments to the commands and leaves with their exit status.

fn main() -> std::process::ExitCode {
    tramgauge::commands::run().into()
}
