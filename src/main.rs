//! The `tramgauge` program: hands its arguments to the commands and leaves with their exit status.

/// One run makes and drops some hundred thousand small things: with this allocator it needs a sixth less time than with that
/// of the system, for 6 MiB more of memory.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    tramgauge::commands::run().into()
}
