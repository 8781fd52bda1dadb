//! A bin through a table and back.

use std::collections::BTreeMap;
use std::path::Path;

use endshake::journal::folder::{self, Folder};
use endshake::journal::{self, Content, Journal, Spec};
use endshake::spreadsheet::{Import, read, write};
use proptest::prelude::*;

fn example() -> Folder {
    folder::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example")).unwrap()
}

/// The example without its parts.
fn without_parts() -> Folder {
    let mut folder = example();
    folder.texts.retain(|(path, _)| !path.starts_with("parts/") && !path.starts_with("builds/"));
    folder.builds.clear();
    folder
}

fn with_parts(yaml: &str) -> Journal {
    let mut folder = without_parts();
    folder.texts.push(("parts/bin.yaml".into(), yaml.into()));
    journal::read(folder)
}

fn taken(table: &str) -> Import {
    read(table, &without_parts(), None).unwrap()
}

/// Fields and what they hold, wherever they are written.
fn told(spec: &Spec) -> Vec<String> {
    let mut out: Vec<String> = spec
        .iter()
        .filter(|(_, content)| !matches!(content.value, Content::Raw(_)))
        .map(|(path, content)| match &content.value {
            Content::Items(items) => format!("{path}: {:?}", items.iter().map(told).collect::<Vec<_>>()),
            Content::Texts(texts) => {
                format!("{path}: {:?}", texts.iter().map(|text| &text.value).collect::<Vec<_>>())
            }
            other => format!("{path}: {other:?}"),
        })
        .collect();
    out.sort();
    out
}

#[test]
fn the_examples_bin_survives_export_and_import() {
    let journal = journal::read(example());
    let table = write(&journal).unwrap();
    let answer = taken(&table);
    assert!(answer.left_out.is_empty(), "{:?}", answer.left_out);
    let faults: Vec<_> = answer.rows.iter().filter(|row| !row.faults.is_empty()).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(answer.rows.len(), journal.parts.len());
    let back = with_parts(&answer.yaml);
    for (id, part) in journal.parts.iter() {
        let again = &back.parts[id];
        assert_eq!(again.kind.name, part.kind.name, "{id}");
        assert_eq!(told(&again.own), told(&part.own), "{id}");
        assert_eq!(told(&again.spec), told(&part.spec), "{id}");
    }
    assert_eq!(write(&back).unwrap(), table);
}

#[test]
fn tables_of_common_spreadsheets_are_imported() {
    for table in [
        "Name,Kind,Diameter,Rehaut bottom\nRound case,case,36.0,26.60\n",
        "\u{feff}Name;Kind;Diameter;rehaut.bottom\r\nRound case;case;36.0;26.60\r\n",
        "name\tkind\tdiameter\trehaut_bottom\nRound case\tcase\t36.0\t26.60\n",
    ] {
        let answer = taken(table);
        assert!(answer.is_good(), "{answer:#?}");
        let journal = with_parts(&answer.yaml);
        let case = &journal.parts["round-case"];
        assert_eq!(case.name(), "Round case");
        assert_eq!(case.spec.size("rehaut.bottom").unwrap().value.value, 26.6);
    }
}

#[test]
fn every_row_of_an_import_is_answered() {
    let answer = taken(
        "id,kind,diametre,diameter,thickness\n\
         good,dial,x,28.5 ±0.02,0.40\n\
         comma,dial,,\"28,5\",\n\
         good,dial,,27.1,\n\
         ,dial,,27.1,\n\
         odd,diel,,27.1,\n\
         wide,dial,,27.1,0.4,0.5\n",
    );
    assert_eq!(answer.left_out, ["column 3: `diametre` is not a known column, did you mean `diameter`?"]);
    let fault = |row: usize| answer.rows[row].faults.join("; ");
    assert_eq!(fault(0), "");
    assert!(fault(1).contains("28.5"), "{}", fault(1));
    assert!(fault(2).contains("earlier row"), "{}", fault(2));
    assert!(fault(3).contains("needs an id"), "{}", fault(3));
    assert!(fault(4).contains("`dial`"), "{}", fault(4));
    assert!(fault(5).contains("6 cells"), "{}", fault(5));
    assert!(!answer.is_good());
}

#[test]
fn no_cell_is_a_formula_and_every_text_survives() {
    let nasty =
        ["=cmd|' /C calc'!A0", "+1+1", "-1+1", "@SUM(A1)", "\ttab", "'quoted", "a: b # c", "[x]", "~"];
    for text in nasty {
        let yaml = format!(
            "odd:\n  kind: strap\n  name: {}\n  note: {}\n  bar_offset: 1\n",
            serde_json::json!(text),
            serde_json::json!(text)
        )
        .replace("  bar_offset: 1\n", "");
        let journal = with_parts(&yaml);
        let table = write(&journal).unwrap();
        for cell in csv_cells(&table) {
            let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
            assert!(!formula || cell.parse::<f64>().is_ok(), "{cell}");
        }
        let back = with_parts(&taken(&table).yaml);
        let name = back.parts["odd"].own.text("note").unwrap_or_default();
        assert_eq!(name.trim(), text.trim(), "{table}");
    }
}

/// The cells of a table, by a parser of its own: quotes are doubled inside of quotes.
fn csv_cells(table: &str) -> Vec<String> {
    let (mut cells, mut cell, mut inside) = (Vec::new(), String::new(), false);
    let mut letters = table.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if inside && letters.peek() == Some(&'"') => cell.push(letters.next().unwrap()),
            '"' => inside = !inside,
            ',' | '\n' if !inside => cells.push(std::mem::take(&mut cell)),
            letter => cell.push(letter),
        }
    }
    cells
}

/// What stands in the cells of a table, by id and column; the guard against formulas taken off, and
/// blanks around, which a reader cannot see.
fn rows_of(table: &str) -> BTreeMap<String, BTreeMap<String, String>> {
    let mut read = csv::ReaderBuilder::new().flexible(true).from_reader(table.as_bytes());
    let columns: Vec<String> = read.headers().unwrap().iter().map(str::to_owned).collect();
    let plain = |cell: &str| cell.trim().strip_prefix('\'').unwrap_or(cell.trim()).trim().to_owned();
    let row = |record: csv::StringRecord| {
        let cells = columns.iter().cloned().zip(record.iter().map(plain));
        let cells: BTreeMap<String, String> = cells.filter(|(_, cell)| !cell.is_empty()).collect();
        (cells["id"].clone(), cells)
    };
    read.records().map(|record| row(record.unwrap())).collect()
}

fn size() -> impl Strategy<Value = String> {
    let sizes = [
        "28.5",
        "28.52 ±0.02",
        "27.40 +0.00 -0.05",
        "27.1..27.3",
        "12.5 lig",
        "12.5\'\'\'",
        "1.122 in",
        "900 um",
        "28.5 h9",
        "0.905 gauged",
        "~28.5",
        "28.5  ±0.02 mm",
        "28.50",
        "028.5",
    ];
    proptest::sample::select(sizes.to_vec()).prop_map(str::to_owned)
}

/// Texts that people write, and some that nobody should: in any script, with breaks, quotes, marks of
/// YAML and of formulas, and words that YAML takes for something else.
fn words() -> impl Strategy<Value = String> {
    let odd = [
        "null",
        "Null",
        "~",
        "-",
        "- a",
        "true",
        "yes",
        "1.50",
        "0x10",
        "a: b",
        "a #b",
        "#b",
        "[a",
        "{a}",
        "&a",
        "*a",
        "!a",
        "|",
        ">",
        "%a",
        "@a",
        "`a`",
        "=1+1",
        "+1",
        "-1+2",
        "\'a",
        "\"a\"",
        "a\\b",
        "two\nlines",
        "a  b",
        "é",
        "a\u{2028}b",
        "\u{feff}a",
        "a\tb",
        "日時計",
        "---",
        "...",
        "a,b;c",
    ];
    prop_oneof![
        proptest::sample::select(odd.to_vec()).prop_map(str::to_owned),
        "\\PC{1,24}",
        "[ -~\n\t]{1,24}",
    ]
}

fn row() -> impl Strategy<Value = Vec<(&'static str, String)>> {
    let sized = |name: &'static str| proptest::option::of(size()).prop_map(move |cell| (name, cell));
    let said = |name: &'static str| proptest::option::of(words()).prop_map(move |cell| (name, cell));
    let one_of = |name: &'static str, of: &[&'static str]| {
        proptest::option::of(proptest::sample::select(of.to_vec()))
            .prop_map(move |cell| (name, cell.map(str::to_owned)))
    };
    let feet = ["[]", "[{ at: 5h25, radius: 12.6 ±0.05 }, { at: 158 deg, radius: 12.6 }]"];
    let cells = (
        (sized("diameter"), sized("thickness"), sized("centre_hole")),
        (said("name"), said("note"), said("from.bought")),
        (
            one_of("lume", &["none", "modern", "unknown"]),
            one_of("feet", &feet),
            one_of("from.date", &["2026-01-17", "2025-12-01"]),
            one_of("from.price", &["4.50", "0", "12"]),
            one_of("count", &["1", "12"]),
            one_of("date_window.at", &["3h", "4h30", "135 deg"]),
        ),
    );
    cells.prop_map(|((a, b, c), (d, e, f), (g, h, i, j, k, l))| {
        let all = [a, b, c, d, e, f, g, h, i, j, k, l];
        all.into_iter().filter_map(|(name, cell)| Some((name, cell?))).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// CSV -> YAML -> CSV, and once more: nothing is lost, and the second table is the last.
    #[test]
    fn any_table_survives_import_and_export(rows in proptest::collection::vec(row(), 1..6)) {
        let columns = [
            "id", "kind", "name", "note", "count", "lume", "feet", "diameter", "thickness", "centre_hole",
            "date_window.at", "from.bought", "from.date", "from.price",
        ];
        let mut table = csv::Writer::from_writer(Vec::new());
        table.write_record(columns).unwrap();
        for (number, row) in rows.iter().enumerate() {
            let cell = |column: &&str| match *column {
                "id" => format!("part-{number}"),
                "kind" => "dial".to_owned(),
                column => row.iter().find(|(name, _)| *name == column).map_or(String::new(), |(_, cell)| cell.clone()),
            };
            table.write_record(columns.iter().map(cell)).unwrap();
        }
        let first = String::from_utf8(table.into_inner().unwrap()).unwrap();
        let answer = taken(&first);
        prop_assert!(answer.is_good(), "{:#?}\n{}", answer.rows, answer.yaml);
        let second = write(&with_parts(&answer.yaml)).unwrap();
        prop_assert_eq!(rows_of(&second), rows_of(&first), "{}", answer.yaml);
        let again = taken(&second);
        prop_assert_eq!(&again.yaml, &answer.yaml);
        prop_assert_eq!(write(&with_parts(&again.yaml)).unwrap(), second);
    }
}

#[test]
fn control_characters_are_reported_and_left_out() {
    let answer = taken("id,kind,name\nodd,dial,a\u{7f}\n");
    let fault = answer.rows[0].faults.join("; ");
    assert!(fault.contains("has the invisible character U+007F in it: write it without"), "{fault}");
}

#[test]
fn no_part_of_the_journal_is_written_twice() {
    let table = "id,kind\namber-sunburst,dial\n";
    let answer = read(table, &example(), None).unwrap();
    assert!(answer.rows[0].faults[0].contains("is in the journal already, at parts/"), "{answer:?}");
}
