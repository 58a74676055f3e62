//! `new`: a design file to build on: a small starter, or a drawing made elsewhere.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use draft::{Axis, Draft, Options};
use drawing::{Drawing, Unit};

use crate::load::{json, print};
use app::files::cannot;

/// Largest drawing that is read.
const LARGEST: u64 = drawing::dxf::LARGEST as u64;

/// What is said of a drawing.
#[derive(Args)]
pub struct DrawingArgs {
    /// Make it from this drawing: DXF, OBJ, or CSV; several tables of points and lines may be given
    #[arg(long, value_name = "FILE")]
    from: Vec<PathBuf>,
    /// What one unit of the drawing is [default: as the file says, else guessed by size]
    #[arg(long, requires = "from", value_parser = ["mm", "cm", "m", "in", "ft"])]
    unit: Option<String>,
    /// Which axis of the drawing points up: x, y, z, -x … [default: z; y for OBJ]
    #[arg(long, requires = "from", value_name = "AXIS", allow_hyphen_values = true, value_parser = axis)]
    up: Option<Axis>,
    /// Which axis of the drawing points forward [default: by symmetry, else x]
    #[arg(long, requires = "from", value_name = "AXIS", allow_hyphen_values = true, value_parser = axis)]
    forward: Option<Axis>,
    /// Ends nearer than this are one, in mm unless it says otherwise
    #[arg(long, requires = "from", value_name = "LENGTH", default_value = "1 mm", allow_hyphen_values = true, value_parser = length)]
    within: f64,
    /// A bent tube may be this far from a drawn curve, in mm unless it says otherwise
    #[arg(long, requires = "from", value_name = "LENGTH", default_value = "5 mm", allow_hyphen_values = true, value_parser = length)]
    curve_within: f64,
    /// A design with the shop's steel, sections, dies and rack: layers take the sections of their names
    #[arg(long, requires = "from", value_name = "DESIGN")]
    with: Option<PathBuf>,
    /// Size of a layer's tube, such as hoop="45 x 2.5 mm"
    #[arg(long, requires = "from", value_name = "LAYER=SIZE", value_parser = pair)]
    size: Vec<(String, String)>,
    /// Centreline radius that a layer's tube is bent to, such as hoop=135, in mm unless it says otherwise
    #[arg(long, requires = "from", value_name = "LAYER=RADIUS", value_parser = pair)]
    bend: Vec<(String, String)>,
    /// Only this layer of the drawing; may be given several times
    #[arg(long, requires = "from", value_name = "LAYER")]
    layer: Vec<String>,
    /// Leave lines apart that go straight on in each other
    #[arg(long, requires = "from")]
    as_drawn: bool,
    /// Do not look for symmetry: write both sides
    #[arg(long, requires = "from")]
    both_sides: bool,
}

fn axis(text: &str) -> Result<Axis, String> {
    Axis::from_word(text).ok_or("an axis is x, y or z, or -x, -y or -z".into())
}

fn pair(text: &str) -> Result<(String, String), String> {
    match text.rsplit_once('=') {
        Some((a, b)) if !a.trim().is_empty() && !b.trim().is_empty() => Ok((a.trim().into(), b.trim().into())),
        _ => Err("a layer, =, and what is said of it".into()),
    }
}

/// A length in m from text in mm, or in the unit that it names.
fn si(text: &str, units: design::Units) -> Result<f64, String> {
    Ok(design::units::parse_text(text, design::units::Quantity::Length, units)?.value)
}

fn length(text: &str) -> Result<f64, String> {
    let m = si(text, design::Units::Mm)?;
    if m > 0.0 && m <= 0.1 { Ok(m) } else { Err("a tolerance is more than 0 and at most 100 mm".into()) }
}

/// Writes the file; never over one that exists.
pub fn run(file: &Path, units: Option<&str>, drawing: &DrawingArgs, as_json: bool) -> Result<ExitCode, String> {
    let units = units.map(|u| if u == "in" { design::Units::In } else { design::Units::Mm });
    if drawing.from.is_empty() {
        write(file, &design::starter(units.unwrap_or_default()))?;
        return told(file, None, as_json);
    }
    if file.exists() {
        return Err(exists(file));
    }
    let draft = import(file, units, drawing)?;
    // What can't be read is not written.
    design::read(&draft.text).map_err(|p| {
        let name = file.display().to_string();
        format!(
            "{}\nerror: the design made of the drawing can't be read, and is not written",
            design::render(&p, &name, &draft.text)
        )
    })?;
    write(file, &draft.text)?;
    told(file, Some(&draft), as_json)
}

fn exists(file: &Path) -> String {
    format!("error: {} exists already, and is left as it is; choose another name", file.display())
}

fn write(file: &Path, text: &str) -> Result<(), String> {
    let mut out = std::fs::OpenOptions::new().write(true).create_new(true).open(file).map_err(|e| {
        if e.kind() == std::io::ErrorKind::AlreadyExists { exists(file) } else { cannot("write", file, &e) }
    })?;
    out.write_all(text.as_bytes()).and_then(|()| out.sync_all()).map_err(|e| cannot("write", file, &e))
}

fn told(file: &Path, draft: Option<&Draft>, as_json: bool) -> Result<ExitCode, String> {
    let name = file.display().to_string();
    if as_json {
        let mut value = serde_json::json!({ "wrote": name });
        if let Some(d) = draft {
            value["tubes"] = d.tubes.into();
            value["mirrored"] = d.mirrored.into();
            value["points"] = d.points.into();
            value["curves"] = d.curves.into();
            value["guessed"] = serde_json::json!(d.guessed);
            value["done"] = serde_json::json!(d.done);
        }
        json(&value)?;
        return Ok(ExitCode::SUCCESS);
    }
    let next = format!("  tubewright check {name}\n  tubewright open {name}\n");
    match draft {
        None => print(&format!(
            "Wrote {name}. Open it in an editor, then:\n  tubewright check {name}\n  tubewright packet {name} --out packet\n"
        )),
        Some(d) => {
            let list = |title: &str, items: &[String]| {
                let lines: Vec<String> = items.iter().map(|i| format!("  - {i}\n")).collect();
                if lines.is_empty() { String::new() } else { format!("\n{title}\n{}", lines.concat()) }
            };
            print(&format!(
                "Wrote {name}: {}.\n{}{}\nAll of this stands at the top of the file too. Next:\n{next}",
                d.summary(),
                list("Guessed; look at each:", &d.guessed),
                list("Done:", &d.done)
            ));
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn import(file: &Path, units: Option<design::Units>, args: &DrawingArgs) -> Result<Draft, String> {
    let drawing = read(&args.from)?;
    let source: Vec<String> = args.from.iter().map(|f| file_name(f)).collect();
    let with = match &args.with {
        Some(path) => {
            let (text, design) = crate::load::design(path)?;
            Some((text, design))
        }
        None => None,
    };
    let radius = |(layer, text): &(String, String)| {
        let m = si(text, design::Units::Mm).map_err(|e| format!("error: --bend {layer}={text}: {e}"))?;
        Ok((layer.clone(), m))
    };
    let stem = file.file_stem().map_or("Frame".into(), |s| s.to_string_lossy().into_owned());
    let options = Options {
        unit: args.unit.as_deref().and_then(Unit::from_word),
        up: args.up,
        forward: args.forward,
        within: args.within,
        curve_within: args.curve_within,
        with: with.as_ref().map(|(text, design)| (&**design, text.as_str())),
        sizes: args.size.clone(),
        radii: args.bend.iter().map(radius).collect::<Result<_, String>>()?,
        layers: args.layer.clone(),
        as_drawn: args.as_drawn,
        one_by_one: args.both_sides,
        units,
        ..Options::new(stem, source.join(" and "))
    };
    draft::draft(&drawing, &options).map_err(|e| format!("error: {}: {e}", source.join(", ")))
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn read(files: &[PathBuf]) -> Result<Drawing, String> {
    let bytes = |f: &PathBuf| {
        let size = std::fs::metadata(f).map_err(|e| cannot("read", f, &e))?.len();
        if size > LARGEST {
            return Err(format!(
                "error: {} has more than {} MB: that is no drawing of a frame",
                f.display(),
                LARGEST >> 20
            ));
        }
        std::fs::read(f).map_err(|e| cannot("read", f, &e))
    };
    let kind = |f: &PathBuf| f.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let told = |f: &PathBuf, e: drawing::Error| format!("error: {}: {e}", f.display());
    if let [f] = files {
        let all = bytes(f)?;
        match kind(f).as_str() {
            "dxf" => return drawing::dxf::read(&all).map_err(|e| told(f, e)),
            "obj" => return drawing::obj::read(&all).map_err(|e| told(f, e)),
            "csv" | "txt" | "tsv" => {}
            _ if drawing::dxf::is_dxf(&all) => return drawing::dxf::read(&all).map_err(|e| told(f, e)),
            other => {
                return Err(format!(
                    "error: {}: a drawing is a .dxf, an .obj or a .csv, not .{other}; most programs can save one",
                    f.display()
                ));
            }
        }
    } else if let Some(f) = files.iter().find(|f| matches!(kind(f).as_str(), "dxf" | "obj")) {
        return Err(format!("error: {}: only tables (.csv) may be given several at once", f.display()));
    }
    let mut texts = Vec::new();
    for f in files {
        let text = design::csv::text(&bytes(f)?).map_err(|p| design::render(&[p], &f.display().to_string(), ""))?;
        texts.push(text);
    }
    let views: Vec<&str> = texts.iter().map(String::as_str).collect();
    draft::table::read(&views).map_err(|list| {
        let one = |(k, p): &(usize, design::Problem)| {
            design::render(std::slice::from_ref(p), &files[*k].display().to_string(), &texts[*k])
        };
        list.iter().map(one).collect::<Vec<_>>().join("\n")
    })
}
