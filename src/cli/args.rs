//! The command line as it is typed.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

/// Columns of the help texts: the same as the reports.
const WIDTH: usize = 100;

const AFTER_HELP: &str = "\
JOB is a job file, - for standard input, or the blank's size as you would say it.

Examples:
  sledwright check \"9 x 6 x 3/4\"            does this blank need a carrier at all?
  sledwright design \"9 x 6 x 3/4\"           the first answer, with printed defaults for the rest
  sledwright new short-plaque --out gull.toml
  sledwright design gull.toml               drawing, cut list and set-up card in gull.carrier
  sledwright explain gull.toml carrier.length
  sledwright design gull.toml --tables our-shop.toml    with machines and sheet goods of your own

Rows for --tables look like those of `shared/` in the source, such as
  [[machine]]
  id = \"roller-carver-medium\"    a built-in id: only the figures given are replaced
  length-min = \"18\"

Exit codes: 0 done; 1 the job is sound but nothing fits; 2 a fault in the job or the command;
3 a file could not be read or written; 70 Sledwright contradicts itself (nothing is written).";

/// Sizes, proves and draws carriers: sacrificial boards for feeding awkward blanks through
/// roller-fed carvers, thickness planers and drum sanders.
#[derive(Debug, Parser)]
#[command(
    name = "sledwright",
    version,
    color = clap::ColorChoice::Never,
    term_width = WIDTH,
    after_help = AFTER_HELP,
    disable_help_subcommand = true,
    infer_subcommands = false
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Start a job file to fill in
    #[command(after_help = "\
Without a name the starters are listed. Without --out the job file is printed.

Example:
  sledwright new short-plaque --out gull.toml")]
    New {
        /// Starter to copy; `list starters` names them
        starter: Option<String>,
        /// File to write; it must not exist yet
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Say whether the blank needs a carrier, which limits it breaks, and by how much
    #[command(after_help = "\
Examples:
  sledwright check gull.toml
  sledwright check \"240 x 90 x 18 mm\"")]
    Check {
        #[command(flatten)]
        job: Job,
    },
    /// Design the carrier and write its drawing, cut list and set-up card
    #[command(after_help = "\
All files are written, or none. A folder that Sledwright wrote before is brought up to date; other
files in it are left alone, and a folder of anything else is refused. With --only, our files of other
formats stay where they show the very same design; where the design has changed they are removed, and
the summary says so. Folders above DIR are made where they are missing.

Examples:
  sledwright design gull.toml
  sledwright design \"9 x 6 x 3/4\" --out plaque
  sledwright design gull.toml --only csv")]
    Design {
        #[command(flatten)]
        job: Job,
        /// Folder to write [default: the job file's name with .carrier, in the current folder]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Formats to write, separated by commas; `list formats` names them [default: all]
        #[arg(long, value_name = "LIST", value_delimiter = ',')]
        only: Vec<String>,
        /// Show a small plan in the terminal too
        #[arg(long)]
        preview: bool,
    },
    /// Show every carrier that could be built, best first, and why the others lost
    #[command(after_help = "\
Example:
  sledwright options gull.toml")]
    Options {
        #[command(flatten)]
        job: Job,
    },
    /// Say why each dimension is what it is
    #[command(after_help = "\
Examples:
  sledwright explain gull.toml                    every dimension
  sledwright explain gull.toml carrier.length     one dimension
  sledwright explain gull.toml floor-after-cut    one rule, with its numbers in this design
  sledwright explain gull.toml landing            how far the carving may land from its place
  sledwright explain gull.toml assumptions        which figure would break it first, if it were wrong")]
    Explain {
        #[command(flatten)]
        job: Job,
        /// A dimension (such as carrier.length) or a rule (`list rules` names them)
        #[arg(value_name = "DIMENSION|RULE")]
        about: Option<String>,
    },
    /// Measure the finished carrier: which limits it still meets, and the set-up card for it as built
    #[command(after_help = "\
FILE holds what you wrote into the as-built boxes of the sheet, in the units of the job. Every line
may be left out; what is not measured is taken as drawn. No guard is kept inside the limits of the
machine: a finished carrier is measured, not hoped for.

  length = \"17\"
  width = [\"7-1/2\", \"7-1/2\"]    # at both ends
  thickness = \"1\"
  lead-end = \"3-31/32\"           # lead end to the pocket
  fence-rail = \"23/32\"           # fence edge to the pocket
  pocket-depth = \"3/4\"

Exit code 1 means: do not run it as it is. The text says what to shim, pack, re-cut or scrap, by how
much; no card is then written.

Example:
  sledwright refit gull.toml --built gull-built.toml")]
    Refit {
        #[command(flatten)]
        job: Job,
        /// As-built sizes
        #[arg(long, value_name = "FILE")]
        built: PathBuf,
        /// File to write the set-up card to as well; it must not exist yet
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Plan the sawing of several jobs out of one pile of boards
    #[command(after_help = "\
FILE lists the boards on hand, and the sizes that can be bought, in TOML or in CSV:

  [[board]]
  mark = \"W7\"                    # what is written on it
  material = \"plywood\"
  nominal = \"1/2 in\"             # or thickness = \"15/32\"
  length = \"31-1/4\"
  width = \"11\"
  bad = [[\"9\", \"2\", \"1-1/2\", \"1\"]]  # from the near end, from the near edge, length, width
  # count, trim (1/4 off every edge), price, buy = true for a size that can be bought

Stock that the jobs state is taken too. Written are saw-plan.pdf, .svg, .csv, .json and the pile as it is
afterwards, all or none. Boards are ripped into strips, the strips crosscut; --free allows any cuts from
edge to edge. The plan costs as little as possible: prices where all boards have them, else wood, ten
times as dear when it has to be bought. Where it is not proven best the plan says so.

Examples:
  sledwright saw gull.toml donors.toml --stock offcuts.toml
  sledwright saw gull.toml --stock offcuts.csv --out friday --time 10")]
    Saw(Saw),
    /// List what Sledwright knows
    List {
        /// What to list
        what: Listing,
        #[command(flatten)]
        tables: Tables,
    },
    /// Measure a machine: print the worksheet, start a profile, or check a filled one
    #[command(after_help = "\
Without a word after it, prints the worksheet.

Examples:
  sledwright machine worksheet --out worksheet.pdf
  sledwright machine profile roller-carver-medium --out ours.toml
  sledwright machine check ours.toml")]
    Machine {
        #[command(subcommand)]
        action: Option<MachineAction>,
    },
    /// Print the JSON Schema of job files, of design.json or of saw-plan.json
    Schema {
        /// Of design.json instead
        #[arg(long, conflicts_with = "saw_plan")]
        design: bool,
        /// Of saw-plan.json instead
        #[arg(long)]
        saw_plan: bool,
    },
    /// Print the completion script of a shell
    #[command(after_help = "\
Example:
  sledwright completions bash > ~/.local/share/bash-completion/completions/sledwright")]
    Completions {
        /// The shell
        shell: Shell,
    },
    /// Print the manual page
    #[command(after_help = "\
Examples:
  sledwright man > sledwright.1
  sledwright man design > sledwright-design.1")]
    Man {
        /// Command to print the page of
        command: Option<String>,
    },
}

/// The job a command works on.
#[derive(Debug, Args)]
pub struct Job {
    /// Job file, - for standard input, or sizes such as "9 x 6 x 3/4"
    #[arg(value_name = "JOB", allow_hyphen_values = true)]
    pub job: OsString,
    /// Rows of your own.
    #[command(flatten)]
    pub tables: Tables,
}

/// What `saw` works on.
#[derive(Debug, Args)]
pub struct Saw {
    /// Job files, or sizes such as "9 x 6 x 3/4"
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<OsString>,
    /// The pile: boards on hand and sizes to buy, TOML or CSV
    #[arg(long, value_name = "FILE")]
    pub stock: Option<PathBuf>,
    /// Folder to write
    #[arg(long, value_name = "DIR", default_value = "saw-plan")]
    pub out: Option<PathBuf>,
    /// End the search after so many seconds; the plan is then perhaps not the best, and says so
    #[arg(long, value_name = "SECONDS")]
    pub time: Option<f64>,
    /// Allow any sequence of cuts from edge to edge
    #[arg(long)]
    pub free: bool,
    /// Least leftover that goes back on the pile, length x width
    #[arg(long, value_name = "SIZE", default_value = "12in x 3in")]
    pub keep: String,
    /// What such leftovers are worth, as a share of what their wood cost
    #[arg(long, value_name = "SHARE", default_value_t = 0.0)]
    pub worth: f64,
    /// Rows of your own.
    #[command(flatten)]
    pub tables: Tables,
}

/// The user's own rows of the reference tables.
#[derive(Debug, Clone, Args)]
pub struct Tables {
    /// Rows of your own woods, sheet goods, machines and cutters, over the built-in ones or beside
    /// them; may be given several times, the last one wins
    #[arg(long = "tables", value_name = "FILE")]
    pub files: Vec<PathBuf>,
}

/// What can be listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Listing {
    /// Machine profiles
    Machines,
    /// Wood species
    Woods,
    /// Sheet goods
    Stock,
    /// Constructions
    Constructions,
    /// Rules
    Rules,
    /// Starters for `new`
    Starters,
    /// File formats for `design --only`
    Formats,
    /// Keys of a job file
    Keys,
}

/// What to do about a machine.
#[derive(Debug, Subcommand)]
pub enum MachineAction {
    /// Print how to measure a machine with shop means
    Worksheet {
        /// File to write: a PDF when its name ends in .pdf, else text; it must not exist yet
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Print a commented profile to fill in
    Profile {
        /// Machine row to start from; `list machines` names them
        #[arg(default_value = "roller-carver-medium")]
        row: String,
        #[command(flatten)]
        tables: Tables,
        /// File to write; it must not exist yet
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Check a filled profile
    Check {
        /// The profile
        file: PathBuf,
    },
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_sound() {
        super::Cli::command().debug_assert();
    }
}
