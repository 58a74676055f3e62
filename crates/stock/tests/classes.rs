//! Made-up instances of several classes, a thousand and more, with a third of the full limit: all are proven.

mod common;

use common::{BARE, checked, pieces, stick};
use stock::{Settings, StickKind};

/// A 64-bit linear congruential generator (Knuth's multiplier, from memory).
struct Draw(u64);

impl Draw {
    fn between(&mut self, least: u64, most: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        least + (self.0 >> 33) % (most - least + 1)
    }
}

/// Plans so many instances and asserts that every one is placed whole and proven, cost and number of sticks.
fn all_proven(count: usize, settings: &Settings, mut draw: impl FnMut() -> (Vec<u64>, Vec<StickKind>)) {
    let settings = &Settings { limit: Settings::FULL / 3, ..settings.clone() };
    let mut open = Vec::new();
    for at in 0..count {
        let (lengths, sticks) = draw();
        let plan = checked(&pieces(&lengths), &sticks, settings);
        assert!(plan.sections[0].unplaced.is_empty());
        if !plan.proven || !plan.sections[0].fewest {
            open.push(at);
        }
    }
    assert!(open.is_empty(), "{} of {count} are not proven: {open:?}", open.len());
}

fn bars(whole: u64) -> Vec<StickKind> {
    vec![stick(whole, None, 10.0)]
}

/// Falkenauer's uniform class: lengths 20 to 100, sticks of 150.
#[test]
fn uniform() {
    let mut draw = Draw(1);
    let mut size = [60, 120].into_iter().cycle();
    all_proven(300, &BARE, || {
        let lengths = (0..size.next().unwrap_or(60)).map(|_| draw.between(20, 100)).collect();
        (lengths, bars(150))
    });
}

/// Falkenauer's triplets: three to a stick of 1000 without waste, so that the optimum is known.
#[test]
fn triplets() {
    let mut draw = Draw(2);
    let mut size = [10, 20, 20, 40].into_iter().cycle();
    all_proven(200, &BARE, || {
        let mut lengths = Vec::new();
        for _ in 0..size.next().unwrap_or(20) {
            let first = draw.between(380, 490);
            let second = draw.between(250, (1000 - first) / 2);
            lengths.extend([first, second, 1000 - first - second]);
        }
        (lengths, bars(1000))
    });
}

/// Up to three to a stick, with waste that the length does not show: Scholl's second set.
#[test]
fn large_pieces() {
    let mut draw = Draw(3);
    all_proven(200, &BARE, || ((0..50).map(|_| draw.between(266, 400)).collect(), bars(1000)));
}

/// Sticks of 6 m cut up without waste.
#[test]
fn planted() {
    let mut draw = Draw(4);
    all_proven(200, &BARE, || {
        let mut lengths = Vec::new();
        for _ in 0..8 {
            let mut cuts: Vec<u64> = (0..draw.between(1, 4)).map(|_| draw.between(200, 5800)).collect();
            cuts.extend([0, 6000]);
            cuts.sort_unstable();
            cuts.dedup();
            lengths.extend(cuts.windows(2).map(|pair| pair[1] - pair[0]));
        }
        (lengths, bars(6000))
    });
}

/// A frame's lengths, most of them twice, left and right; kerf and trim.
fn frame(draw: &mut Draw, tubes: usize) -> Vec<u64> {
    let mut lengths = Vec::new();
    for _ in 0..tubes {
        let length = draw.between(150, 2600);
        lengths.extend(std::iter::repeat_n(length, draw.between(1, 2) as usize));
    }
    lengths
}

#[test]
fn frames() {
    let mut draw = Draw(5);
    all_proven(200, &Settings::saw(0.002, 0.005), || (frame(&mut draw, 40), bars(6000)));
}

/// Three lengths to be bought at odd prices, offcuts on hand.
#[test]
fn frames_from_a_rack() {
    let mut draw = Draw(6);
    all_proven(100, &Settings::saw(0.002, 0.005), || {
        let lengths = frame(&mut draw, 15);
        let mut sticks = vec![
            stick(6000, None, draw.between(600, 750) as f64 / 10.0),
            stick(7500, None, draw.between(750, 950) as f64 / 10.0),
            stick(3000, None, draw.between(300, 400) as f64 / 10.0),
        ];
        for _ in 0..draw.between(0, 4) {
            sticks.push(stick(draw.between(600, 5000), Some(draw.between(1, 2) as u32), 0.0));
        }
        (lengths, sticks)
    });
}
