//! `new`: a starter to build on.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use crate::load::{json, print};
use app::files::cannot;

/// Writes the starter; never over a file that exists.
pub fn run(file: &Path, units: &str, as_json: bool) -> Result<ExitCode, String> {
    let units = if units == "in" { design::Units::In } else { design::Units::Mm };
    let text = design::starter(units);
    let mut out = std::fs::OpenOptions::new().write(true).create_new(true).open(file).map_err(|e| {
        if e.kind() == std::io::ErrorKind::AlreadyExists {
            format!("error: {} exists already, and is left as it is; choose another name", file.display())
        } else {
            cannot("write", file, &e)
        }
    })?;
    out.write_all(text.as_bytes()).and_then(|()| out.sync_all()).map_err(|e| cannot("write", file, &e))?;
    if as_json {
        json(&serde_json::json!({ "wrote": file.display().to_string() }))?;
    } else {
        print(&format!(
            "Wrote {0}. Open it in an editor, then:\n  tubewright check {0}\n  tubewright packet {0} --out packet\n",
            file.display()
        ));
    }
    Ok(ExitCode::SUCCESS)
}
