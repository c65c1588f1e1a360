//! The map in text: a letter a field says what the sign-off finds there, a number which stop of the path lies there.

use crate::practise::map::{Ground, Map, Place};

/// What stands in a field.
fn letter(ground: Ground) -> char {
    match ground {
        Ground::Clean => 'C',
        Ground::Lean => 'h',
        Ground::LeanLow => 'l',
        Ground::Rich => 'r',
        Ground::IdleSpeed => 'i',
        Ground::Dies => 'x',
    }
}

/// The map, line by line; what was not looked at yet is a dot.
pub(super) fn map(map: &Map) -> Vec<String> {
    let mut out = vec![
        "  high-speed needle: lean to rich from left to right; low-speed needle: lean to rich upwards; a field is 1/12 turn"
            .to_string(),
    ];
    for row in map.fields.chunk_by(|a, b| a.place.low == b.place.low) {
        let mut line = "    ".to_string();
        for field in row {
            // The last visit to a field counts.
            let stop = map.stops.iter().rposition(|stop| *stop == field.place);
            let mark = stop.map_or(String::new(), |n| n.to_string());
            let centre = if field.place == (Place { high: 0, low: 0 }) {
                "*"
            } else {
                ""
            };
            line += &format!("{:<5}", format!("{}{centre}{mark}", field.ground.map_or('.', letter)));
        }
        out.push(line.trim_end().to_string());
    }
    out.push(
        "  C clean, h lean high end (or hot, or knocking), l lean low end, r rich, i only the idle's speed, x dies; * the true setting;"
            .to_string(),
    );
    out.push(
        "  0, 1, 2 ... where you came by, what lies beyond the edge is drawn on it; the idle stop as you left it"
            .to_string(),
    );
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::map::Field;

    #[test]
    fn letters_centre_and_stops_stand_in_their_fields() {
        let place = |high, low| Place { high, low };
        let field = |high, low, ground| Field {
            place: place(high, low),
            ground,
        };
        let shown = map(&Map {
            field_turns: 1.0 / 12.0,
            idle_turns: 2.0,
            fields: vec![
                field(0, 1, Some(Ground::Rich)),
                field(1, 1, Some(Ground::IdleSpeed)),
                field(0, 0, Some(Ground::Clean)),
                field(1, 0, None),
                field(0, -1, Some(Ground::Lean)),
                field(1, -1, Some(Ground::Dies)),
            ],
            stops: vec![place(1, 1), place(0, 0), place(1, 1)],
        });
        assert_eq!(shown[1..4], ["    r    i2", "    C*1  .", "    h    x"]);
        assert_eq!(shown.len(), 6);
        let letters: std::collections::BTreeSet<char> = Ground::ALL.map(letter).into();
        assert_eq!(letters.len(), Ground::ALL.len());
    }
}
