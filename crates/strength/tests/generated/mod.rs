//! Frames of any size.

/// A tower of bays, all joints a little off their places: nothing in it is square or alike.
pub fn tower(levels: usize) -> String {
    let mut text = "[design]\nname = \"Tower\"\n[section.thick]\nshape = \"round\"\nod = 40\nwall = 2\nmaterial = \"S355\"\n\
                    [section.thin]\nshape = \"box\"\nwidth = 20\nheight = 30\nwall = 1.5\nmaterial = \"S355\"\n[point]\n"
        .to_owned();
    let off = |k: usize| ((k * 7919) % 41) as f64 - 20.0;
    for z in 0..levels {
        for (k, [x, y]) in [[0, 0], [500, 0], [1000, 0], [1000, 450], [500, 450], [0, 450]].iter().enumerate() {
            let n = 6 * z + k;
            let (x, y, h) = (f64::from(*x) + off(n), f64::from(*y) + off(n + 3), 400.0 * z as f64 + off(n + 5));
            text += &format!("p{z}_{k} = [{x}, {y}, {h}]\n");
        }
    }
    let mut n = 0;
    let mut tube = |a: String, b: String, section: &str| {
        text += &format!("[tube.t{n}]\nsection = \"{section}\"\npath = [\"{a}\", \"{b}\"]\n");
        n += 1;
    };
    for z in 0..levels {
        for k in 0..6 {
            tube(format!("p{z}_{k}"), format!("p{z}_{}", (k + 1) % 6), "thin");
            if z > 0 {
                tube(format!("p{}_{k}", z - 1), format!("p{z}_{k}"), "thick");
            }
        }
    }
    text
}
