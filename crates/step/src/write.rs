//! Solids as instances of an exchange file, and the products that name them.

use crate::brep::{Body, Curve, Surface};
use crate::part21::{Data, Id, list, metres, real, string};

/// AP214: every reader of the last twenty years takes it, and it holds all that is told here.
const SCHEMA: &str = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }";
/// How far places of edges that should be one may lie apart, mm. Readers take it as their tolerance.
const UNCERTAINTY: &str = "1.E-6";

/// What all shapes of a file share.
struct Shared {
    /// Units and tolerance.
    units: Id,
    product: Id,
    definition: Id,
    /// The origin with the axes as they are.
    origin: Id,
}

fn shared(d: &mut Data) -> Shared {
    let app = d.add("APPLICATION_CONTEXT('core data for automotive mechanical design processes')");
    d.add(&format!("APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,{app})"));
    let product = d.add(&format!("PRODUCT_CONTEXT('',{app},'mechanical')"));
    let definition = d.add(&format!("PRODUCT_DEFINITION_CONTEXT('part definition',{app},'design')"));
    let mm = d.add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))");
    let rad = d.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))");
    let sr = d.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())");
    let u = d.add(&format!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({UNCERTAINTY}),{mm},'distance_accuracy_value','edges')"
    ));
    let units = d.add(&format!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({u})) \
         GLOBAL_UNIT_ASSIGNED_CONTEXT(({mm},{rad},{sr})) REPRESENTATION_CONTEXT('',''))"
    ));
    let origin = d.placement(geometry::DVec3::ZERO, geometry::DVec3::Z, geometry::DVec3::X);
    Shared { units, product, definition, origin }
}

fn curve(d: &mut Data, c: &Curve) -> Id {
    match c {
        Curve::Line { from, along } => {
            let p = d.point(*from);
            let t = d.direction(*along);
            let v = d.add(&format!("VECTOR('',{t},1.)"));
            d.add(&format!("LINE('',{p},{v})"))
        }
        Curve::Ellipse { centre, normal, x, a, b } => {
            let at = d.placement(*centre, *normal, *x);
            if a == b {
                d.add(&format!("CIRCLE('',{at},{})", metres(*a)))
            } else {
                d.add(&format!("ELLIPSE('',{at},{},{})", metres(*a), metres(*b)))
            }
        }
        Curve::Spline(s) => {
            let points: Vec<Id> = s.points.iter().map(|&p| d.point(p)).collect();
            let last = s.knots.len() - 1;
            let times: Vec<&str> = (0..=last).map(|k| if k == 0 || k == last { "6" } else { "3" }).collect();
            let knots: Vec<String> = s.knots.iter().map(|&k| real(k * 1000.0)).collect();
            d.add(&format!(
                "B_SPLINE_CURVE_WITH_KNOTS('',5,{},.UNSPECIFIED.,.F.,.F.,({}),({}),.UNSPECIFIED.)",
                list(&points),
                times.join(","),
                knots.join(",")
            ))
        }
    }
}

fn surface(d: &mut Data, s: &Surface) -> Id {
    match s {
        Surface::Plane { origin, normal } => {
            let at = d.placement(*origin, *normal, normal.any_orthonormal_vector());
            d.add(&format!("PLANE('',{at})"))
        }
        Surface::Cylinder { origin, axis, x, r } => {
            let at = d.placement(*origin, *axis, *x);
            d.add(&format!("CYLINDRICAL_SURFACE('',{at},{})", metres(*r)))
        }
        Surface::Torus { centre, axis, x, ring, tube } => {
            let at = d.placement(*centre, *axis, *x);
            d.add(&format!("TOROIDAL_SURFACE('',{at},{},{})", metres(*ring), metres(*tube)))
        }
        Surface::Extruded { curve: c, along } => {
            let c = curve(d, c);
            let t = d.direction(*along);
            let v = d.add(&format!("VECTOR('',{t},1.)"));
            d.add(&format!("SURFACE_OF_LINEAR_EXTRUSION('',{c},{v})"))
        }
    }
}

fn truth(b: bool) -> &'static str {
    if b { ".T." } else { ".F." }
}

/// A body's solid.
fn solid(d: &mut Data, b: &Body) -> Id {
    let vertices: Vec<Option<Id>> = {
        let mut used = vec![false; b.places.len()];
        b.edges.iter().for_each(|e| {
            used[e.from] = true;
            used[e.to] = true;
        });
        let vertex = |d: &mut Data, k: usize| {
            let p = d.point(b.places[k]);
            d.add(&format!("VERTEX_POINT('',{p})"))
        };
        (0..b.places.len()).map(|k| used[k].then(|| vertex(d, k))).collect()
    };
    let edges: Vec<Id> = b
        .edges
        .iter()
        .map(|e| {
            let c = curve(d, &e.curve);
            let end = |k: usize| vertices[k].map_or(String::from("$"), |v| v.to_string());
            d.add(&format!("EDGE_CURVE('',{},{},{c},.T.)", end(e.from), end(e.to)))
        })
        .collect();
    let faces: Vec<Id> = b
        .faces
        .iter()
        .map(|f| {
            let bounds: Vec<Id> = f
                .bounds
                .iter()
                .enumerate()
                .map(|(k, bound)| {
                    let uses: Vec<Id> = bound
                        .iter()
                        .map(|u| d.add(&format!("ORIENTED_EDGE('',*,*,{},{})", edges[u.edge], truth(u.forward))))
                        .collect();
                    let l = d.add(&format!("EDGE_LOOP('',{})", list(&uses)));
                    let kind = if k == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
                    d.add(&format!("{kind}('',{l},.T.)"))
                })
                .collect();
            let s = surface(d, &f.surface);
            d.add(&format!("ADVANCED_FACE('',{},{s},{})", list(&bounds), truth(f.same)))
        })
        .collect();
    let shell = d.add(&format!("CLOSED_SHELL('',{})", list(&faces)));
    d.add(&format!("MANIFOLD_SOLID_BREP({},{shell})", string(&b.name)))
}

/// A product: its definition and its shape.
fn product(d: &mut Data, s: &Shared, name: &str, about: &str) -> (Id, Id) {
    let (name, about) = (string(name), string(about));
    let p = d.add(&format!("PRODUCT({name},{name},{about},({}))", s.product));
    d.add(&format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({p}))"));
    let f = d.add(&format!("PRODUCT_DEFINITION_FORMATION('','',{p})"));
    let def = d.add(&format!("PRODUCT_DEFINITION('design','',{f},{})", s.definition));
    let shape = d.add(&format!("PRODUCT_DEFINITION_SHAPE('','',{def})"));
    (def, shape)
}

/// A body as a product with its own representation.
fn part(d: &mut Data, s: &Shared, b: &Body) -> (Id, Id) {
    let (def, shape) = product(d, s, &b.name, &b.about);
    let solid = solid(d, b);
    let rep =
        d.add(&format!("ADVANCED_BREP_SHAPE_REPRESENTATION({},({},{solid}),{})", string(&b.name), s.origin, s.units));
    d.add(&format!("SHAPE_DEFINITION_REPRESENTATION({shape},{rep})"));
    (def, rep)
}

/// A file of one body.
pub fn one(b: &Body) -> String {
    let mut d = Data::default();
    let s = shared(&mut d);
    part(&mut d, &s, b);
    d.file(&b.name, SCHEMA)
}

/// A file of many bodies, in the places where they stand, put together in one product.
pub fn many(name: &str, about: &str, bodies: &[Body]) -> String {
    let mut d = Data::default();
    let s = shared(&mut d);
    let (whole, shape) = product(&mut d, &s, name, about);
    let rep = d.add(&format!("SHAPE_REPRESENTATION({},({}),{})", string(name), s.origin, s.units));
    d.add(&format!("SHAPE_DEFINITION_REPRESENTATION({shape},{rep})"));
    for b in bodies {
        let (def, own) = part(&mut d, &s, b);
        let n = string(&b.name);
        let use_ = d.add(&format!("NEXT_ASSEMBLY_USAGE_OCCURRENCE({n},{n},'',{whole},{def},$)"));
        let placed = d.add(&format!("PRODUCT_DEFINITION_SHAPE('','',{use_})"));
        let t = d.add(&format!("ITEM_DEFINED_TRANSFORMATION('','',{},{})", s.origin, s.origin));
        let r = d.add(&format!(
            "(REPRESENTATION_RELATIONSHIP('','',{own},{rep}) REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({t}) \
             SHAPE_REPRESENTATION_RELATIONSHIP())"
        ));
        d.add(&format!("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({r},{placed})"));
    }
    d.file(name, SCHEMA)
}
