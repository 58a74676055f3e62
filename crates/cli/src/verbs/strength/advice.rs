//! Tubes that could be added, and tubes that are missed least.

use review::Text;
use strength::Advice;

use crate::table::table;

/// Braces told for each aim, and tubes told as missed least; JSON has more.
const BEST: usize = 3;
/// See [`BEST`].
const LEAST: usize = 10;

/// Both tables.
pub fn advice(t: &Text, v: &Advice) -> String {
    let mut out = format!(
        "\ntubes to add, of {}, straight between joints: {} looked at\n  left out: {} too short, {} too long, {} where tubes \
         are, {} close beside a tube, {} under 15° to a tube, {} through people, {} through wheels and masses, {} through \
         ways out\n",
        v.section,
        v.looked_at,
        v.left_out.short,
        v.left_out.long,
        v.left_out.taken,
        v.left_out.parallel,
        v.left_out.sharp,
        v.left_out.person,
        v.left_out.thing,
        v.left_out.opening
    );
    // Those that gain most for their mass, for each aim; a tube that is best for two stands once.
    let mut shown: Vec<usize> = Vec::new();
    for k in 0..v.aims.len() {
        let mut order: Vec<usize> = (0..v.braces.len()).filter(|&i| v.braces[i].gains[k] > 0.0).collect();
        let worth = |i: usize| v.braces[i].gains[k] / v.braces[i].mass;
        order.sort_by(|&i, &j| worth(j).total_cmp(&worth(i)));
        for i in order.into_iter().take(BEST) {
            if !shown.contains(&i) {
                shown.push(i);
            }
        }
    }
    let percent = |x: f64| format!("{:.1}", 100.0 * x);
    let mut header: Vec<String> =
        ["from", "to", "twin", &format!("length {}", t.unit()), "kg", "best for", "% a kg"].map(str::to_owned).to_vec();
    header.extend(v.aims.iter().map(|a| format!("{a} %")));
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let numbers: Vec<usize> = [3, 4].into_iter().chain(6..header.len()).collect();
    out += &table(
        &header,
        &numbers,
        shown.iter().map(|&i| {
            let b = &v.braces[i];
            let (best, gain) = best_for(v, i);
            let mut row = vec![
                b.joins[0].clone(),
                b.joins[1].clone(),
                if b.twin { "yes" } else { "" }.to_owned(),
                t.length(b.length),
                format!("{:.2}", b.mass),
                best,
                percent(gain / b.mass),
            ];
            row.extend(b.gains.iter().map(|g| percent(*g)));
            row
        }),
    );
    out += "  Gains are in stiffness against each load; masses and gains are of both where there is a twin.\n";
    out += "\ntubes that are missed least for their mass: what stiffness loses without them\n";
    let mut header: Vec<String> = ["tube", "twin", "kg"].map(str::to_owned).to_vec();
    header.extend(v.aims.iter().map(|a| format!("{a} %")));
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let numbers: Vec<usize> = (2..header.len()).collect();
    out += &table(
        &header,
        &numbers,
        v.losses.iter().filter_map(|l| Some((l, l.losses.as_ref()?))).take(LEAST).map(|(l, losses)| {
            let mut row = vec![l.tube.clone(), if l.twin { "yes" } else { "" }.to_owned(), format!("{:.2}", l.mass)];
            row.extend(losses.iter().map(|x| percent(*x)));
            row
        }),
    );
    out + "  A tube missed little by these loads may be there for others, for people or for a rule.\n"
}

/// The aim for which a brace ranks highest among those told, and its gain there.
fn best_for(v: &Advice, i: usize) -> (String, f64) {
    let worth = |i: usize, k: usize| v.braces[i].gains[k] / v.braces[i].mass;
    let rank = |k: usize| (0..v.braces.len()).filter(|&j| worth(j, k) > worth(i, k)).count();
    (0..v.aims.len())
        .min_by_key(|&k| rank(k))
        .map_or((String::new(), 0.0), |k| (v.aims[k].clone(), v.braces[i].gains[k]))
}
