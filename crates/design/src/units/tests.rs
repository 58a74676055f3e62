use proptest::prelude::*;

use super::*;

fn length(text: &str, units: Units) -> f64 {
    parse_text(text, Quantity::Length, units).unwrap().value
}

#[test]
fn fractions_are_exact() {
    assert_eq!(length("1 3/4", Units::In), 0.04445);
    assert_eq!(length("1-3/4", Units::In), 0.04445);
    assert_eq!(length("1 3/4 in", Units::Mm), 0.04445);
    assert_eq!(length("-2 1/2", Units::In), -0.0635);
    assert_eq!(length("3/8", Units::In), 0.009525);
    assert_eq!(length("7/16\"", Units::Mm), 0.0111125);
    for sixteenths in 1..=4096u64 {
        let as_decimal = Decimal::parse(&format!("{}", sixteenths as f64 / 16.0)).unwrap().to_si(Unit::In);
        assert_eq!(length(&format!("{sixteenths}/16"), Units::In), as_decimal);
    }
}

#[test]
fn units_in_text() {
    assert_eq!(length("45 mm", Units::In), 0.045);
    assert_eq!(length("45", Units::In), 45.0 * 0.0254);
    assert_eq!(length("4.5cm", Units::In), 0.045);
    assert_eq!(length("1.75 in", Units::Mm), 0.04445);
    assert_eq!(length("20 ft", Units::Mm), 6.096);
    assert_eq!(length("5 ft 10 in", Units::Mm), 1.778);
    assert_eq!(length("5' 10 1/2\"", Units::Mm), 1.7907);
    assert_eq!(length("5 ft 10.5 in", Units::Mm), 1.7907);
    let mass = |text| parse_text(text, Quantity::Mass, Units::Mm).unwrap().value;
    assert_eq!(mass("180 lb"), 81.6466266);
    assert_eq!(mass("500 g"), 0.5);
    let rate = |text| parse_text(text, Quantity::Rate, Units::In).unwrap().value;
    assert_eq!(rate("22 N/mm"), 22e3);
    assert_eq!(rate("22"), 22e3);
    // NIST SP 811 appendix B: 1 lbf/in = 1.751268 E+02 N/m.
    assert!((rate("1 lb/in") - 175.1268).abs() < 5e-5);
    let force = |text, units| parse_text(text, Quantity::Force, units).unwrap().value;
    // NIST SP 811 appendix B: 1 lbf = 4.448222 E+00 N; exactly, by its definition, 4.448 221 615 260 5 N.
    assert_eq!((force("1 lbf", Units::Mm), force("1", Units::In)), (4.4482216152605, 4.4482216152605));
    assert_eq!((force("1.5 kN", Units::In), force("-200", Units::Mm)), (1500.0, -200.0));
    assert_eq!(force("1/2 lbf", Units::In), 2.22411080763025);
    let moment = |text, units| parse_text(text, Quantity::Moment, units).unwrap().value;
    for text in ["80 N m", "80 Nm", "80N·m", "80 N⋅m", "80 nm", "0.08 kN m", "80"] {
        assert_eq!(moment(text, Units::Mm), 80.0, "{text}");
    }
    // NIST SP 811 appendix B: 1 lbf·ft = 1.355818 E+00 N·m, 1 lbf·in = 1.129848 E-01 N·m.
    assert!((moment("1", Units::In) - 1.355818).abs() < 5e-7);
    assert!((moment("1 lbf·in", Units::In) - 0.1129848).abs() < 5e-8);
    assert_eq!(moment("60 lbf ft", Units::Mm), moment("720 lbf in", Units::Mm));
    let stress = |text| parse_text(text, Quantity::Stress, Units::Mm).unwrap().value;
    assert_eq!(stress("205 GPa"), 205e9);
    // NIST SP 811 appendix B: 1 psi = 6.894757 E+03 Pa.
    assert!((stress("51 ksi") - 351.632607e6).abs() < 51.0);
    assert_eq!(stress("51000 psi"), stress("51 ksi"));
}

#[test]
fn wrong_texts_say_why() {
    let why = |text, units| parse_text(text, Quantity::Length, units).unwrap_err();
    assert!(why("1 3/4", Units::Mm).contains("needs its unit"));
    assert!(why("45 kg", Units::Mm).contains("mm, cm, m, in or ft"));
    assert!(why("1/0 in", Units::Mm).contains("0 below the line"));
    assert!(why("", Units::Mm).contains("no number"));
    assert!(why("1.2.3", Units::Mm).contains("not a number"));
    assert!(why("12 34", Units::Mm).contains("more than one"));
    assert!(why("1.5/2 in", Units::Mm).contains("whole number"));
    assert!(why("3 ft 2", Units::Mm).contains("5 ft 10 in"));
    assert!(why("99999999999999999999/3 in", Units::Mm).contains("whole number"));
    let why = |text, quantity| parse_text(text, quantity, Units::Mm).unwrap_err();
    assert_eq!(why("5 lb", Quantity::Force), "`lb` is not a unit of force: use N, kN or lbf");
    assert_eq!(why("5 ft", Quantity::Moment), "`ft` is not a unit of moment: use N m, kN m, lbf ft or lbf in");
    assert!(why("5 N s", Quantity::Moment).contains("`N s` is not"));
    assert!(why("5 N m 2", Quantity::Moment).contains("more than one"));
    assert!(why("5 N m", Quantity::Force).contains("more than one"));
}

#[test]
fn decimals_are_rounded_once() {
    assert_eq!(Decimal::parse("48.3").unwrap().to_si(Unit::Mm), 0.0483);
    assert_eq!(Decimal::parse("1_450").unwrap().to_si(Unit::Mm), 1.45);
    assert_eq!(Decimal::parse("1e400").unwrap().to_si(Unit::Mm), f64::INFINITY);
    assert_eq!(Decimal::parse("1e-400").unwrap().to_si(Unit::Mm), 0.0);
    assert_eq!(Decimal::parse("1e99999999999").unwrap().to_si(Unit::M), f64::INFINITY);
    assert_eq!(Decimal::parse("0.000000000000000000000000000000001").unwrap().to_si(Unit::M), 1e-33);
    assert_eq!(
        Decimal::parse("12345678901234567890123456789012345").unwrap().to_si(Unit::M),
        12345678901234567890123456789012345.0
    );
    for text in ["", "-", ".", "e5", "1e", "1e+", "nan", "inf", "1 2", "0x10"] {
        assert_eq!(Decimal::parse(text), None, "{text}");
    }
}

#[test]
fn lengths_are_written_shortly() {
    assert_eq!(length_text(1.45, Units::Mm), NumberText::Number("1450".to_owned()));
    assert_eq!(length_text(0.0483, Units::Mm), NumberText::Number("48.3".to_owned()));
    assert_eq!(length_text(0.04445, Units::In), NumberText::Fraction("1 3/4".to_owned()));
    assert_eq!(length_text(-0.009525, Units::In), NumberText::Fraction("-3/8".to_owned()));
    assert_eq!(length_text(0.0508, Units::In), NumberText::Number("2".to_owned()));
    assert_eq!(length_text(0.002413, Units::In), NumberText::Number("0.095".to_owned()));
    assert_eq!(decimal_text(1e-9, Unit::M), "1e-9");
    assert_eq!(decimal_text(30f64.to_radians(), Unit::Degree), "30");
    assert_eq!(show(0.045_000_000_1, Quantity::Length, Units::Mm), "45 mm");
    assert_eq!(show(1000.0, Quantity::Length, Units::In), "39370.1 in");
    assert_eq!(show(1000.0, Quantity::Force, Units::In), "224.809 lbf");
    assert_eq!(show(1500.0, Quantity::Moment, Units::Mm), "1500 N m");
}

proptest! {
    #[test]
    fn any_length_comes_back(x in -1000.0f64..1000.0) {
        for unit in [Unit::Mm, Unit::In, Unit::Ft, Unit::M, Unit::Cm, Unit::Kg, Unit::Lb] {
            let text = decimal_text(x, unit);
            prop_assert_eq!(Decimal::parse(&text).unwrap().to_si(unit), x, "{} {:?}", text, unit);
        }
    }

    #[test]
    fn any_force_comes_back(x in -1e7f64..1e7, shift in -12i32..3) {
        let x = x * 10f64.powi(shift);
        for unit in [Unit::N, Unit::KN, Unit::Lbf, Unit::NM, Unit::KNM, Unit::LbfFt, Unit::LbfIn] {
            let text = decimal_text(x, unit);
            prop_assert_eq!(Decimal::parse(&text).unwrap().to_si(unit), x, "{} {:?}", text, unit);
        }
    }

    #[test]
    fn any_degrees_come_back(tenths in -3600i32..3600) {
        let x = Decimal::parse(&format!("{tenths}e-1")).unwrap().to_si(Unit::Degree);
        let text = decimal_text(x, Unit::Degree);
        prop_assert_eq!(Decimal::parse(&text).unwrap().to_si(Unit::Degree), x);
    }

    #[test]
    fn any_fraction_comes_back(sixty_fourths in -100_000i64..100_000) {
        let x = sixty_fourths as f64 * 254.0 / 640_000.0;
        match length_text(x, Units::In) {
            NumberText::Fraction(t) => prop_assert_eq!(length(&t, Units::In), x),
            NumberText::Number(t) => {
                prop_assert_eq!(sixty_fourths % 64, 0);
                prop_assert_eq!(Decimal::parse(&t).unwrap().to_si(Unit::In), x);
            }
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in ".{0,40}") {
        let _ = parse_text(&text, Quantity::Length, Units::In);
        let _ = Decimal::parse(&text);
    }

    #[test]
    fn near_quantities_are_read_or_refused(text in "[-+]?[0-9 ./_eE'\"-]{0,20}(in|mm|ft|lbf?|ksi|k?N)?[·⋅ ]?(m|ft)?[0-9 /]{0,6}(in)?") {
        use Quantity::{Force, Length, Mass, Moment, Rate, Stress};
        for quantity in [Length, Mass, Stress, Rate, Force, Moment] {
            let _ = parse_text(&text, quantity, Units::In);
        }
    }
}
