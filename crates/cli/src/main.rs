//! The tubewright program: reads a design file and answers questions about it.
//!
//! Exit status: 0 when nothing must be mended, 1 when something must, 2 when the input could not be read or a file
//! could not be written.

mod load;
mod table;
mod verbs;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

const CAUTION: &str = "The numbers are arithmetic on what the file says. They do not replace the rules of your \
organiser or authority, an inspector, or a licensed engineer. Check the first piece against the car before cutting the \
rest.";

/// From a rough layout to a welded tube frame: what is each piece, and how is it cut, bent and fitted?
#[derive(Parser)]
#[command(name = "tubewright", version, after_help = CAUTION)]
struct Cli {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Args)]
struct Input {
    /// The design file
    design: PathBuf,
    /// Print JSON (SI units) instead of text
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct CurveArgs {
    /// Turn this curve of the design into legs and bends
    #[arg(long, value_name = "NAME", requires = "design")]
    curve: Option<String>,
    /// With this die, not the one that the curve names
    #[arg(long, value_name = "NAME", requires = "curve")]
    die: Option<String>,
    /// Within this tolerance, in the design's units
    #[arg(long, value_name = "LENGTH", requires = "curve")]
    within: Option<String>,
    /// With so many bends, not the fewest
    #[arg(long, value_name = "COUNT", requires = "curve")]
    bends: Option<usize>,
    /// Write it into the design as a tube
    #[arg(long, requires = "curve")]
    write: bool,
    /// Name of that tube; else the curve's
    #[arg(long, value_name = "NAME", requires = "write")]
    tube: Option<String>,
    /// Its section; else the only one that the die takes
    #[arg(long, value_name = "NAME", requires = "write")]
    section: Option<String>,
}

#[derive(Subcommand)]
enum Verb {
    /// Write a commented design file to start from: a small one, or what was drawn elsewhere
    #[command(
        after_help = "Examples:\n  tubewright new my-car.toml\n  tubewright new my-car.toml --from layout.dxf --with our-shop.toml\n  tubewright new my-car.toml --from layout.obj --unit m --up z --size hoop=\"45 x 2.5 mm\" --bend hoop=135\n  tubewright new my-car.toml --from points.csv --from lines.csv\n\nWhat becomes of a drawing: docs/methods/import.md"
    )]
    New {
        /// The file to write; it must not exist
        file: PathBuf,
        /// Units of the file: mm or in [default: mm, or as the drawing or --with has them]
        #[arg(long, value_parser = ["mm", "in"])]
        units: Option<String>,
        #[command(flatten)]
        drawing: verbs::new::DrawingArgs,
        /// Print JSON instead of text
        #[arg(long)]
        json: bool,
    },
    /// What is the frame? Tubes, joints, mass
    #[command(
        after_help = "Examples:\n  tubewright shape examples/gorse.toml\n  tubewright shape --sections\n  tubewright shape my-car.toml --curve roof --within 8\n  tubewright shape my-car.toml --curve roof --write --section hoop"
    )]
    Shape {
        /// The design file
        #[arg(required_unless_present_any = ["materials", "sections"])]
        design: Option<PathBuf>,
        /// List the materials that are built in
        #[arg(long)]
        materials: bool,
        /// List the sizes of tube that are built in
        #[arg(long, conflicts_with = "materials")]
        sections: bool,
        #[command(flatten)]
        curve: CurveArgs,
        /// Print JSON (SI units) instead of text
        #[arg(long)]
        json: bool,
    },
    /// What is each piece? Lengths, bends, end cuts
    #[command(
        after_help = "Examples:\n  tubewright cutting examples/gorse.toml\n  tubewright cutting examples/gorse.toml --details\n  tubewright cutting examples/gorse.toml --piece main_hoop"
    )]
    Cutting {
        #[command(flatten)]
        input: Input,
        /// Show one piece in full
        #[arg(long)]
        piece: Option<String>,
        /// The pieces that do not stand yet, for the frame as measured
        #[arg(long)]
        built: bool,
        /// Show the ways to cut every end, the set-ups in order and the weld list
        #[arg(long, conflicts_with = "piece")]
        details: bool,
    },
    /// How does it stand? Ground, loads, tipping, clearances, ramps, obstacles, room for the wheels, measures
    #[command(after_help = "Example:\n  tubewright stance examples/gorse.toml")]
    Stance {
        #[command(flatten)]
        input: Input,
    },
    /// Will it hold? Loads, stresses, stiffness, buckling, frequencies, and which tube would help most
    #[command(
        after_help = "Examples:\n  tubewright strength examples/gorse.toml\n  tubewright strength examples/gorse.toml --load roof_corner --collapse"
    )]
    Strength {
        #[command(flatten)]
        input: Input,
        /// Only this load, this set of published loads, or `rest`
        #[arg(long, value_name = "NAME")]
        load: Option<String>,
        /// Tell everything of every load: what holds it, the tubes it uses, its welds
        #[arg(long)]
        details: bool,
        /// Push those loads past yielding that ask for it; may take a minute
        #[arg(long)]
        collapse: bool,
        /// Write each load as an input deck for CalculiX into this folder instead
        #[arg(long, value_name = "OUT_DIR")]
        deck: Option<std::path::PathBuf>,
    },
    /// Which stick does each piece come from?
    #[command(
        after_help = "Examples:\n  tubewright stock examples/gorse.toml\n  tubewright stock my-car.toml --take-in steel.csv\n\nA list of steel has the keys of [[rack.stick]] as its columns: see docs/design-file.md."
    )]
    Stock {
        #[command(flatten)]
        input: Input,
        /// Take a list of sticks into the design's rack instead: CSV, with `section` and `length` at least
        #[arg(long, value_name = "LIST")]
        take_in: Option<PathBuf>,
    },
    /// What holds it while it is welded? Stands, readings, diagonals, printed saddles
    #[command(
        after_help = "Examples:\n  tubewright jigs examples/gorse.toml\n  tubewright jigs examples/gorse.toml --saddles out/saddles"
    )]
    Jigs {
        #[command(flatten)]
        input: Input,
        /// Write each saddle as STL into this folder instead
        #[arg(long, value_name = "OUT_DIR")]
        saddles: Option<PathBuf>,
    },
    /// Where are we? What was measured on the car, and how the rest must change to fit it
    #[command(
        after_help = "Examples:\n  tubewright build my-car.toml --start\n  tubewright build my-car.toml\n\nThe sheet is DESIGN.measured.toml beside the design: see docs/measured-sheet.md."
    )]
    Build {
        #[command(flatten)]
        input: Input,
        /// Another sheet of measurements than the one beside the design
        #[arg(long, value_name = "FILE")]
        measured: Option<PathBuf>,
        /// Write a sheet to fill in on the car instead; it must not exist
        #[arg(long)]
        start: bool,
    },
    /// What happens when it goes over? Rest attitudes, people's room in them, tumbles
    #[command(
        after_help = "Examples:\n  tubewright rollover examples/gorse.toml\n  tubewright rollover examples/gorse.toml --tumbles 10000"
    )]
    Rollover {
        #[command(flatten)]
        input: Input,
        /// Throw it so many times, and count how it ends
        #[arg(long, num_args = 0..=1, value_name = "TIMES")]
        tumbles: Option<Option<u32>>,
    },
    /// List all findings, worst first
    #[command(
        after_help = "Example:\n  tubewright check examples/gorse.toml\n  tubewright check examples/gorse.toml --rules\n\nExits 0 when nothing must be mended, 1 when something must, 2 when the file can't be read."
    )]
    Check {
        #[command(flatten)]
        input: Input,
        /// Every rule of the rule sets that the design names, with what was measured
        #[arg(long)]
        rules: bool,
    },
    /// Show it in the browser: change it, and see every answer change with it
    #[command(
        after_help = "Examples:\n  tubewright open examples/gorse.toml\n  tubewright open examples/gorse.toml --lan\n\nEnds with Ctrl+C. What was changed and done is kept in DESIGN.record.db beside the design."
    )]
    Open {
        /// The design file
        design: PathBuf,
        /// Let phones on the same network in; shows a code to scan
        #[arg(long)]
        lan: bool,
        /// The port; 0 takes any that is free
        #[arg(long, default_value_t = 4870)]
        port: u16,
        /// Don't start the browser
        #[arg(long)]
        quiet: bool,
    },
    /// Write the documents and exchange files for the shop
    #[command(
        after_help = "Examples:\n  tubewright packet examples/gorse.toml --out out/gorse\n  tubewright packet examples/gorse.toml --out out/gorse --tumbles 10000"
    )]
    Packet {
        #[command(flatten)]
        input: Input,
        /// The folder to write to; files of the same names are replaced
        #[arg(long)]
        out: PathBuf,
        /// Throw it so many times, and put on the rollover sheets how it ends
        #[arg(long, num_args = 0..=1, value_name = "TIMES")]
        tumbles: Option<Option<u32>>,
        /// Push those loads past yielding that ask for it; may take a minute
        #[arg(long)]
        collapse: bool,
        /// Print on every label a code to scan: the address of `open --lan`, with {piece} for the piece's name
        #[arg(long, value_name = "ADDRESS")]
        link: Option<String>,
        /// For the frame as measured: only the pieces that do not stand yet
        #[arg(long)]
        built: bool,
    },
}

fn main() -> ExitCode {
    let result = match Cli::parse().verb {
        Verb::New { file, units, drawing, json } => verbs::new::run(&file, units.as_deref(), &drawing, json),
        Verb::Shape { materials: true, json, .. } => verbs::builtin::materials(json),
        Verb::Shape { sections: true, json, .. } => verbs::builtin::sections(json),
        Verb::Shape { design: Some(design), json, curve: c @ CurveArgs { curve: Some(_), .. }, .. } => {
            let asked = verbs::curve::Asked {
                curve: c.curve.as_deref().unwrap_or_default(),
                die: c.die.as_deref(),
                within: c.within.as_deref(),
                bends: c.bends,
                write: c.write,
                tube: c.tube.as_deref(),
                section: c.section.as_deref(),
            };
            verbs::curve::run(&design, json, &asked)
        }
        Verb::Shape { design: Some(design), json, .. } => verbs::shape::run(&design, json),
        Verb::Shape { design: None, .. } => Err("name a design file".into()),
        Verb::Cutting { input, piece, built, details } => {
            let asked = verbs::cutting::Asked { piece: piece.as_deref(), built, details };
            verbs::cutting::run(&input.design, input.json, &asked)
        }
        Verb::Stance { input } => verbs::stance::run(&input.design, input.json),
        Verb::Strength { input, load, details, collapse, deck } => {
            let asked = verbs::strength::Asked { load: load.as_deref(), details, collapse };
            verbs::strength::run(&input.design, input.json, &asked, deck.as_deref())
        }
        Verb::Stock { input, take_in: Some(list) } => verbs::take_in::run(&input.design, &list, input.json),
        Verb::Stock { input, take_in: None } => verbs::stock::run(&input.design, input.json),
        Verb::Jigs { input, saddles } => verbs::jigs::run(&input.design, input.json, saddles.as_deref()),
        Verb::Build { input, measured, start } => verbs::build::run(&input.design, input.json, measured, start),
        Verb::Rollover { input, tumbles } => verbs::rollover::run(&input.design, input.json, tumbles),
        Verb::Open { design, lan, port, quiet } => verbs::open::run(&design, lan, port, quiet),
        Verb::Check { input, rules } => verbs::check::run(&input.design, input.json, rules),
        Verb::Packet { input, out, tumbles, collapse, link, built } => {
            verbs::packet::run(&input.design, &out, input.json, tumbles, collapse, link, built)
        }
    };
    match result {
        Ok(code) => code,
        Err(message) => {
            eprintln!("{}", message.trim_end());
            ExitCode::from(2)
        }
    }
}
