//! Tables out of spreadsheets: any bytes are rows with their answers or a fault, and what would be
//! written is read again.

use endshake::journal;
use endshake::journal::folder::Folder;
use endshake::spreadsheet::{read, write};

use super::{Target, example, fuzz, skeleton};

const WORDS: [&str; 40] = [
    ",",
    ";",
    "\t",
    "\"",
    "\"\"",
    "\r\n",
    "\n",
    "id",
    "kind",
    "name",
    "diameter",
    "thickness",
    "rehaut.bottom",
    "rehaut bottom",
    "feet",
    "dial",
    "case",
    "hand",
    "movement",
    "28.5 ±0.02",
    "28,5",
    "=1+1",
    "+1",
    "-1",
    "@x",
    "'",
    "[{ at: 1h }]",
    "[a, b]",
    "~",
    "- ",
    ": ",
    "# ",
    "{",
    "}",
    "&a",
    "*a",
    "|",
    "!!x",
    "..",
    "\u{feff}",
];

#[test]
fn csv() {
    let folder =
        Folder { texts: vec![("journal.yaml".into(), "title: Tables\n".into())], ..Folder::default() };
    let mut whole = Folder { texts: example(".yaml"), ..Folder::default() };
    whole.texts.retain(|(path, _)| !path.starts_with("builds/"));
    let table = write(&journal::read(whole)).unwrap();
    // A few rows at a time: the whole table would take long each time.
    let lines: Vec<&str> = table.split_inclusive('\n').collect();
    let mut corpus: Vec<Vec<u8>> =
        lines[1..].chunks(4).map(|rows| [&lines[..1], rows].concat().concat().into_bytes()).collect();
    corpus.extend([
        b"Name,Kind,Diameter\nRound case,case,36.0\n".to_vec(),
        b"\xef\xbb\xbfName;Kind;Diameter\r\nRound case;case;36.0\r\n".to_vec(),
        b"id\tkind\nx\tdial\n".to_vec(),
        // Found here once: a heading that is not ASCII ended the program.
        "id,kind,Größe,from\u{202e}.bought\nx,dial,1,2\n".as_bytes().to_vec(),
    ]);
    let attempt = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        let answer = match read(&text, &folder, None) {
            Ok(answer) => answer,
            Err(fault) => return vec![skeleton(&fault.to_string())],
        };
        let mut answers: Vec<String> = answer.left_out.iter().map(|left| skeleton(left)).collect();
        answers.extend(
            answer
                .rows
                .iter()
                .flat_map(|row| row.faults.iter().chain(&row.doubts))
                .map(|told| skeleton(told)),
        );
        if answer.is_good() {
            // What was said to be good is good where it comes to stand, and goes out again.
            let mut after = folder.clone();
            after.texts.push(("parts/new.yaml".into(), answer.yaml.clone()));
            let journal = journal::read(after);
            let wrong: Vec<_> = journal
                .problems
                .iter()
                .filter(|problem| problem.severity == endshake::problem::Severity::Error)
                .collect();
            assert!(wrong.is_empty(), "{wrong:?} of\n{}", answer.yaml);
            assert_eq!(journal.parts.len(), answer.rows.len(), "{}", answer.yaml);
            let out = write(&journal).unwrap();
            let mut cells = csv::ReaderBuilder::new().has_headers(false).from_reader(out.as_bytes());
            for cell in
                cells.records().flat_map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
            {
                let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
                assert!(!formula || cell.parse::<f64>().is_ok(), "{cell:?} is a formula");
            }
            answers.push(format!("good {}", answer.rows.len().min(5)));
        }
        answers
    };
    fuzz(&Target { name: "tables", corpus, words: &WORDS, executions: 200, attempt: &attempt });
}
