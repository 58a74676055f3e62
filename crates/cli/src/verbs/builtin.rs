//! `shape --materials` and `shape --sections`: what a design can name without defining it.

use std::process::ExitCode;

use crate::load::{json, print};
use crate::table::table;

/// Lists the materials.
pub fn materials(as_json: bool) -> Result<ExitCode, String> {
    let list = design::builtin_materials();
    if as_json {
        json(&list)?;
        return Ok(ExitCode::SUCCESS);
    }
    let mpa = |pa: f64| format!("{:.0}", pa / 1e6);
    let rows = list
        .iter()
        .map(|m| vec![m.name.clone(), mpa(m.yield_strength), mpa(m.tensile_strength), mpa(m.youngs), m.source.clone()]);
    print(&table(&["material", "yield MPa", "tensile MPa", "E MPa", "source"], &[1, 2, 3], rows));
    print("Minimum figures of the standards. Take the mill's certificate where you have it.\n");
    Ok(ExitCode::SUCCESS)
}

/// Lists the sizes.
pub fn sections(as_json: bool) -> Result<ExitCode, String> {
    let list = design::builtin_sections();
    if as_json {
        let list: Vec<_> =
            list.iter().map(|s| serde_json::json!({ "name": s.name, "size": s.shape, "source": s.source })).collect();
        json(&list)?;
        return Ok(ExitCode::SUCCESS);
    }
    print(&table(&["size", "source"], &[], list.iter().map(|s| vec![s.name.clone(), s.source.to_owned()])));
    Ok(ExitCode::SUCCESS)
}
