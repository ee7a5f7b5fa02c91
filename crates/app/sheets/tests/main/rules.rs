//! Pictures against the rules they follow.

use crate::demo;
use roxmltree::{Document, Node};
use shortblock_curve::{Curve, Measured, Predicted};
use shortblock_sheets::{
    Chart, DifferenceSeries, Goal, Series, Slot, TerminalStyle, Theme, Unit, svg_chart,
    terminal_chart,
};

const NASTY: &str = "<script>&\"'\u{1}\u{7}</text> ]]> 112 / b7 \u{202e}\n\ttail";

fn paths<'a>(document: &'a Document) -> impl Iterator<Item = Node<'a, 'a>> {
    document.descendants().filter(|node| node.has_tag_name("path"))
}

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Corners of a path made of `M` and `L` with absolute numbers.
fn corners(d: &str) -> Vec<(f64, f64)> {
    d.split(['M', 'L'])
        .filter_map(|pair| pair.trim_end_matches('Z').split_once(' '))
        .filter_map(|(x, y)| Some((x.parse().ok()?, y.parse().ok()?)))
        .collect()
}

#[test]
fn predicted_is_dashed_and_hatched_measured_solid_and_tinted() {
    let predicted = Chart {
        axes: vec![demo::torque_axis()],
        series: vec![Series::predicted(Slot::A, demo::b8())],
        ..Chart::default()
    };
    let text = svg_chart(&predicted, Theme::Light);
    assert!(text.contains("stroke-dasharray=\"10 6\"") && text.contains("url(#hatch-A"));
    assert!(text.contains("rotate(30)") && !text.contains("fill-opacity"));
    let measured =
        Chart { series: vec![Series::measured(Slot::A, demo::b7())], ..predicted.clone() };
    let text = svg_chart(&measured, Theme::Light);
    assert!(!text.contains("dasharray") && !text.contains("hatch"));
    assert!(text.contains("stroke-width=\"2.75\"") && text.contains("fill-opacity"));
}

#[test]
fn diamonds_stand_at_every_500_rpm() {
    let chart = Chart {
        axes: vec![demo::torque_axis()],
        series: vec![Series::predicted(Slot::A, demo::b8())],
        ..Chart::default()
    };
    let text = svg_chart(&chart, Theme::Light);
    // 3,500 to 8,500 rpm: eleven on the curve, one in the legend.
    assert_eq!(text.matches("l5.5 5.5-5.5 5.5-5.5-5.5Z").count(), 12);
}

#[test]
fn picture_is_read_aloud_with_kind_unit_and_plus_minus() {
    let text = svg_chart(&demo::planner(), Theme::Light);
    let document = Document::parse(&text).unwrap();
    let desc = document.descendants().find(|node| node.has_tag_name("desc")).unwrap();
    let words = desc.text().unwrap();
    for part in
        ["b8, predicted: best torque 319 ±8 N·m at 6,950 rpm", "b7, measured", "Goal: 340 hp"]
    {
        assert!(words.contains(part), "{part} not in: {words}");
    }
    assert_eq!(document.root_element().attribute("role"), Some("img"));
}

#[test]
fn no_words_stand_on_a_curve() {
    for chart in [demo::planner(), demo::sweep(), demo::eight()] {
        let text = svg_chart(&chart, Theme::Light);
        let document = Document::parse(&text).unwrap();
        let curves: Vec<(f64, f64)> = paths(&document)
            .filter(|path| path.attribute("stroke-linejoin").is_some())
            .map(|path| corners(path.attribute("d").unwrap()))
            .filter(|corners| corners.len() > 5)
            .flatten()
            .collect();
        assert!(curves.len() > 100);
        for words in document.descendants().filter(|node| node.has_tag_name("text")) {
            // The least width these words can have in the font: 0.3 em a letter.
            let size = number(&words, "font-size");
            let width = 0.3 * size * words.text().unwrap().chars().count() as f64;
            let left = number(&words, "x")
                - match words.attribute("text-anchor") {
                    Some("middle") => 0.5 * width,
                    Some("end") => width,
                    _ => 0.0,
                };
            let bottom = number(&words, "y");
            let hit = curves.iter().find(|&&(x, y)| {
                x > left && x < left + width && y > bottom - 0.75 * size && y < bottom
            });
            assert_eq!(hit, None, "{:?}", words.text());
        }
    }
}

#[test]
fn numbers_at_the_left_stay_beside_their_panel() {
    let text = svg_chart(&demo::planner(), Theme::Light);
    let document = Document::parse(&text).unwrap();
    // The corner of each panel: M left top V bottom H right.
    let panels: Vec<(f64, f64)> = paths(&document)
        .filter(|path| path.attribute("stroke-width") == Some("1.6"))
        .map(|path| {
            let numbers: Vec<f64> = path
                .attribute("d")
                .unwrap()
                .split(|c: char| !c.is_ascii_digit() && c != '.')
                .filter_map(|n| n.parse().ok())
                .collect();
            (numbers[1], numbers[2])
        })
        .collect();
    assert_eq!(panels.len(), 3);
    let numbers = document
        .descendants()
        .filter(|node| node.has_tag_name("text") && node.attribute("text-anchor") == Some("end"));
    let mut seen = 0;
    for number_at_left in numbers.filter(|node| number(node, "x") < 62.0) {
        let baseline = number(&number_at_left, "y");
        let inside =
            |&(top, bottom): &(f64, f64)| baseline - 10.0 > top - 1.0 && baseline < bottom + 1.0;
        assert!(panels.iter().any(inside), "{:?} at {baseline}", number_at_left.text());
        seen += 1;
    }
    assert!(seen >= 9, "{seen}");
}

#[test]
fn any_words_stay_words() {
    let curve: Curve<Predicted> = demo::curve(NASTY, &[3000.0, 4000.0], &[200.0, 210.0], 0.02);
    let series = [Series::predicted(Slot::A, curve)];
    let chart = Chart {
        title: NASTY.to_owned(),
        axes: vec![demo::torque_axis()],
        series: series.to_vec(),
        notes: vec![NASTY.to_owned()],
        ..Chart::default()
    };
    let text = svg_chart(&chart, Theme::Light);
    let document = Document::parse(&text).unwrap();
    assert!(document.descendants().all(|node| !node.has_tag_name("script")));
    for style in [TerminalStyle::Braille, TerminalStyle::Plain] {
        let text = terminal_chart(&series, &demo::torque_axis(), style);
        assert!(text.chars().all(|c| c == '\n' || !(c.is_control() || c == '\u{202e}')));
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
}

#[test]
fn builds_are_told_apart_in_ascii() {
    let line = |slot, torque| {
        let curve = demo::curve("b", &[3000.0, 6000.0], &[torque, torque], 0.0);
        Series::predicted(slot, curve)
    };
    let both = [line(Slot::A, 200.0), line(Slot::B, 250.0)];
    let text = terminal_chart(&both, &demo::torque_axis(), TerminalStyle::Plain);
    let drawn = |mark: &str| text.lines().filter(|line| line.contains(&mark.repeat(50))).count();
    assert_eq!((drawn("."), drawn("o")), (1, 1), "{text}");
}

#[test]
fn thin_and_odd_charts_hold_no_nonsense() {
    let one: Curve<Measured> = demo::curve("p3", &[5000.0], &[300.0], 0.01);
    let flat: Curve<Predicted> = demo::curve("b1", &[3000.0, 9000.0], &[0.0, 0.0], 0.0);
    let huge: Curve<Predicted> = demo::curve("b2", &[1.0, 2.0, 1e6], &[1e-9, -1e12, 1e15], 0.1);
    let none = one.less(&one).unwrap();
    let chart = |series: Vec<Series>| Chart {
        axes: vec![demo::torque_axis(), demo::power_axis()],
        series,
        goals: vec![Goal {
            quantity: shortblock_curve::Quantity::Torque,
            value: 1.0,
            from: Some(1e5),
            to: None,
        }],
        differences: vec![DifferenceSeries::new(&none, demo::torque_axis(), Slot::A)],
        ..Chart::default()
    };
    for series in [
        vec![],
        vec![Series::measured(Slot::A, one.clone())],
        vec![Series::predicted(Slot::A, flat)],
        vec![Series::predicted(Slot::A, huge), Series::measured(Slot::B, one.clone())],
    ] {
        let axis = demo::torque_axis();
        for style in [TerminalStyle::Braille, TerminalStyle::Plain] {
            let text = terminal_chart(&series, &axis, style);
            assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
            assert_eq!(series.is_empty(), text.is_empty());
        }
        let text = svg_chart(&chart(series), Theme::Dark);
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        Document::parse(&text).unwrap();
    }
    Document::parse(&svg_chart(&Chart::default(), Theme::Light)).unwrap();
}

#[test]
fn a_goal_over_a_range_is_drawn_over_it() {
    let dots = |from: Option<f64>, to: Option<f64>| {
        let rpm = std::f64::consts::PI / 30.0;
        let goal = Goal {
            quantity: shortblock_curve::Quantity::Torque,
            value: 250.0,
            from: from.map(|n| n * rpm),
            to: to.map(|n| n * rpm),
        };
        let svg = svg_chart(&Chart { goals: vec![goal], ..demo::planner() }, Theme::Light);
        let line = svg.lines().find(|line| line.contains("\"2 4\"")).unwrap().to_owned();
        let (path, _) = line.strip_prefix("<path d=\"M").unwrap().split_once('"').unwrap();
        let (start, end) = path.split_once('H').unwrap();
        let start = start.split(' ').next().unwrap();
        [start, end].map(|x| x.parse::<f64>().unwrap())
    };
    let [left, right] = dots(None, None);
    let [from, to] = dots(Some(4000.0), Some(6000.0));
    assert!(left < from && from < to && to < right, "{left} {from} {to} {right}");
    assert_eq!(dots(Some(4000.0), None), [from, right]);
    assert_eq!(dots(None, Some(6000.0)), [left, to]);
}

#[test]
fn one_point_shows_in_the_terminal() {
    let one: Curve<Measured> = demo::curve("p3", &[5000.0], &[300.0], 0.01);
    let text = terminal_chart(
        &[Series::measured(Slot::A, one)],
        &demo::torque_axis(),
        TerminalStyle::Plain,
    );
    let inside: String =
        text.lines().skip(1).take(11).map(|line| &line[6..66.min(line.len())]).collect();
    assert!(inside.contains('*'), "{text}");
}

#[test]
fn plain_terminal_charts_are_ascii() {
    let series = [Series::predicted(Slot::A, demo::b8()), Series::measured(Slot::B, demo::b7())];
    let axis = shortblock_sheets::Axis::torque(Unit::new("lb.ft", 1.355_818));
    let text = terminal_chart(&series, &axis, TerminalStyle::Plain);
    assert!(text.is_ascii() && text.contains('*') && text.contains('.'), "{text}");
}

#[test]
fn units_of_the_table_are_written_for_the_screen() {
    use shortblock_units::{Quantity, unit};
    // 550 ft·lbf/s and 1 ft·lbf, NIST SP 811, appendix B.8 (from memory).
    let horsepower = Unit::of(unit(Quantity::Power, "hp").unwrap());
    assert!(horsepower.symbol == "hp" && (horsepower.si - 745.699_9).abs() < 1e-4);
    let torque = Unit::of(unit(Quantity::Torque, "N.m").unwrap());
    assert_eq!(torque, Unit::new("N·m", 1.0));
}
