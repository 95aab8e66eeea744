//! The command-line program: the only place that prints and exits.

use std::io::{self, Write};
use std::process::ExitCode;

use sledwright::cli::{self, code};

fn main() -> ExitCode {
    let reply = cli::run(std::env::args_os(), &mut io::stdin().lock());
    // What goes wrong is said first, so that it is said even if standard output is closed.
    let told = io::stderr().lock().write_all(reply.err.as_bytes());
    let mut out = io::stdout().lock();
    let printed = out.write_all(&reply.out).and_then(|()| out.flush());
    match printed.and(told) {
        Ok(()) => ExitCode::from(reply.code),
        // A reader that has seen enough, such as `head`, is no fault.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            // Standard error may be gone too; then the code has to do.
            let _ = writeln!(io::stderr(), "cannot print: {error}");
            ExitCode::from(code::FILES)
        }
    }
}
