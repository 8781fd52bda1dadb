//! Endshake: arguments in, one command, exit status out.

use std::io::Write as _;
use std::process::ExitCode;

use clap::Parser as _;
use endshake::cli::{Arguments, Exit, Streams, run};

/// Room for what a faulty journal nests, on every thread as much as on the first.
const STACK: usize = 8 << 20;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    // It fails only where there is a pool already, and nothing has asked for one yet.
    let _ = rayon::ThreadPoolBuilder::new().stack_size(STACK).build_global();
    let mut out = std::io::BufWriter::new(anstream::stdout().lock());
    // Not locked: photos are told of from several threads.
    let mut err = anstream::stderr();
    let done = run(&arguments, &mut Streams { out: &mut out, err: &mut err });
    let done = done.and_then(|outcome| {
        out.flush()?;
        Ok(outcome)
    });
    match done {
        Ok(outcome) => ExitCode::from(outcome.status()),
        // A reader that has seen enough, `| head`, is no fault.
        Err(fault) if broken_pipe(&fault) => ExitCode::SUCCESS,
        Err(fault) => {
            let _ = writeln!(err, "endshake: {fault:#}");
            ExitCode::from(Exit::Problems.status())
        }
    }
}

fn broken_pipe(fault: &anyhow::Error) -> bool {
    let kinds = fault.chain().filter_map(|cause| cause.downcast_ref::<std::io::Error>());
    kinds.into_iter().any(|cause| cause.kind() == std::io::ErrorKind::BrokenPipe)
}
