//! The tables of ids in docs/trade-ids.md are those of the bundled trade tables.

use std::collections::BTreeSet;

use roomback::trade::{Part, tables};

const DOC: &str = include_str!("../../docs/trade-ids.md");

fn word<T: serde::Serialize>(x: &T) -> String {
    serde_json::to_value(x).ok().and_then(|v| v.as_str().map(str::to_string)).unwrap_or_default()
}

/// What the section must hold, a row a line.
fn expected() -> String {
    let t = tables();
    let mut out = String::from("## Ids: recipes\n\n| recipe | for | what it is |\n| --- | --- | --- |\n");
    let parts = [Part::Ceiling, Part::Crown, Part::Walls, Part::Openings, Part::Panels, Part::Base, Part::Room];
    for p in parts {
        for r in t.recipes.iter().filter(|r| r.parts.first() == Some(&p)) {
            let on: Vec<String> = r.parts.iter().map(word).collect();
            out += &format!("| `{}` | {} | {} |\n", r.id, on.join(", "), r.name);
        }
    }
    out += "\n## Ids: products\n\n| product | what it is |\n| --- | --- |\n";
    for p in &t.products {
        out += &format!("| `{}` | {} |\n", p.id, p.name);
    }
    out += "\n## Ids: labor rates\n\n| rate | hours of one person a unit: low / typical / high | unit | what it is |\n| --- | --- | --- | --- |\n";
    for r in &t.rates {
        out += &format!("| `{}` | {} / {} / {} | {} | {} |\n", r.id, r.low, r.typ, r.high, word(&r.unit), r.name);
    }
    out += "\n## Ids: materials\n\n| material | sold by | lengths, sizes | what it is |\n| --- | --- | --- | --- |\n";
    for m in &t.materials {
        let sizes: Vec<String> = m.packs.iter().map(|p| p.size.to_string()).collect();
        out += &format!("| `{}` | {} | {} | {} |\n", m.id, word(&m.sold), sizes.join(", "), m.name);
    }
    let gives: BTreeSet<&str> =
        t.recipes.iter().flat_map(|r| &r.steps).flat_map(|s| &s.gives).map(String::as_str).collect();
    let of: BTreeSet<&str> =
        t.recipes.iter().flat_map(|r| &r.steps).flat_map(|s| &s.labor).map(|l| l.of.as_str()).collect();
    let list = |s: BTreeSet<&str>| s.into_iter().map(|x| format!("`{x}`")).collect::<Vec<_>>().join(", ");
    out += &format!("\n## Ids: milestones\n\n{}\n", list(gives));
    out += &format!("\n## Ids: quantities of the take-off that recipes use\n\n{}\n", list(of));
    out
}

#[test]
fn the_ids_in_the_document_are_those_of_the_tables() {
    let start = DOC.find("## Ids: recipes\n").expect("the id tables stand in docs/trade-ids.md");
    let found = DOC[start..].trim_end();
    let want = expected();
    if std::env::var_os("WRITE_REPORTS").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/trade-ids.md");
        std::fs::write(path, format!("{}{}", &DOC[..start], want)).expect("written");
        return;
    }
    assert!(found == want.trim_end(), "docs/trade-ids.md: run with WRITE_REPORTS=1 and read the change");
}
