//! `check`: everything that is the matter with a file, all at once.

use crate::Done;
use crate::args::{Check, CheckAssert};
use crate::failure::{ANSWER_IS_NO, Failure};
use crate::files::{self, Entry};
use crate::json;
use crate::logs::session_file;
use crate::manner::{Form, Manner};
use crate::text::{counted, csv_row};
use serde_json::{Value as Json, json};
use shortblock_engine::{Build, Doubt, Faults, Finding, Sources, render};
use shortblock_session::{File, load_dyno, load_session};
use shortblock_units::Origin;
use std::path::Path;

/// Exit code when any file has faults.
const FAULTS: u8 = 3;

/// Checks the files; the exit code is that of the worst one.
pub fn run(args: &Check, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let checked: Vec<Checked> =
        args.files.iter().map(|file| Checked::of(file, shop)).collect::<Result<_, _>>()?;
    let text = match manner.form {
        Form::Text => {
            let blocks: Vec<String> = checked.iter().map(|one| one.text(manner)).collect();
            blocks.join("\n")
        }
        Form::Json => {
            let files: Vec<Json> = checked.iter().map(Checked::json).collect();
            json::line(&json!({ "format": "shortblock/check/1", "files": files }), manner)
        }
        Form::Csv => {
            let head = csv_row(&["file", "kind", "in", "line", "column", "path", "what", "remedy"]);
            head + &checked.iter().map(Checked::csv).collect::<String>()
        }
    };
    let no = |one: &Checked| args.assert.iter().any(|wanted| !one.holds(*wanted));
    let code = if checked.iter().any(|one| one.faults.is_some()) {
        FAULTS
    } else if checked.iter().any(no) {
        ANSWER_IS_NO
    } else {
        0
    };
    if code == ANSWER_IS_NO {
        for one in checked.iter().filter(|one| no(one)) {
            manner.say(&one.why_not());
        }
    }
    Ok(Done { text, code })
}

/// What was found out about one file: a build, a day on a dyno, or the dyno's own record.
struct Checked {
    name: String,
    /// What it is, where it is no engine file.
    what: &'static str,
    faults: Option<Faults>,
    doubts: Vec<Doubt>,
    sources: Sources,
    /// The build, where the file is one and has no faults.
    build: Option<Box<Build>>,
}

impl Checked {
    fn of(file: &str, shop: Option<&Path>) -> Result<Self, Failure> {
        if let Some(session) = session_file(&[file.to_owned()]) {
            let entry = Entry::find(&session.display().to_string(), shop)?;
            return Ok(Self::beside_logs(entry, File::Session));
        }
        if file != "-" {
            let entry = Entry::find(file, shop)?;
            if let Some(kind) = File::of(entry.text()) {
                return Ok(Self::beside_logs(entry, kind));
            }
        }
        let (name, loaded) = files::read(file, shop)?;
        let (doubts, sources) = (loaded.doubts, loaded.sources);
        let (build, faults) = match loaded.build {
            Ok(build) => (Some(build), None),
            Err(faults) => (None, Some(faults)),
        };
        Ok(Self { name, what: "", faults, doubts, sources, build })
    }

    /// A session file or a dyno's own record.
    fn beside_logs(entry: Entry, kind: File) -> Self {
        let (name, path) = (entry.name().to_owned(), entry.path().to_owned());
        let shop = entry.into_shop();
        let (faults, doubts, sources) = match kind {
            File::Dyno => {
                let loaded = load_dyno(&path, &shop);
                (loaded.read.err(), loaded.doubts, loaded.sources)
            }
            _ => {
                let loaded = load_session(&path, &shop);
                (loaded.read.err(), loaded.doubts, loaded.sources)
            }
        };
        Self { name, what: kind.name(), faults, doubts, sources, build: None }
    }

    fn open_doubts(&self) -> Vec<&Doubt> {
        files::open_doubts(&self.doubts)
    }

    fn assumed(&self) -> usize {
        self.build.as_ref().map_or(0, |build| build.assumed().count())
    }

    fn holds(&self, wanted: CheckAssert) -> bool {
        match wanted {
            CheckAssert::NoAssumed => self.assumed() == 0,
            CheckAssert::NoDoubt => self.open_doubts().is_empty(),
        }
    }

    fn why_not(&self) -> String {
        let assumed = counted(self.assumed(), "assumed value");
        let doubts = counted(self.open_doubts().len(), "open doubt");
        format!("{}: the answer is no: {assumed}, {doubts}", self.name)
    }

    fn text(&self, manner: &Manner) -> String {
        let doubts = self.open_doubts();
        let head = match (&self.faults, doubts.len()) {
            (Some(faults), 0) => format!("has {}", counted(faults.faults.len(), "fault")),
            (Some(faults), n) => {
                let faults = counted(faults.faults.len(), "fault");
                format!("has {faults} and {}", counted(n, "doubt"))
            }
            (None, 0) => "in order".to_owned(),
            (None, n) => format!("can be used, with {}", counted(n, "doubt")),
        };
        let what = if self.what.is_empty() { "" } else { ", " };
        let head = manner.wrapped(&format!("{}: {}{what}{head}", self.name, self.what), 0);
        let mut out = manner.strong(head.trim_end()) + "\n";
        if let Some(faults) = &self.faults {
            out += &format!("\n{}", faults.render());
            if Path::new(&self.name).file_name().is_some_and(|name| name == "engine.toml") {
                let text = "It holds what never changes about an engine. What is not said here may \
                            stand in the builds beside it: check those.";
                out += &format!("\n{}", manner.wrapped(text, 0));
            }
        }
        if !doubts.is_empty() {
            out += if self.faults.is_some() { "\nDoubts:\n\n" } else { "\n" };
            let findings: Vec<Finding> = doubts.iter().map(|d| d.finding.clone()).collect();
            out += &render(&findings, &self.sources);
        }
        for doubt in self.doubts.iter() {
            if let Some(reason) = &doubt.silenced {
                let what = &doubt.finding.what;
                out += &manner.wrapped(&format!("{what}: you say \"{reason}\""), 2);
            }
        }
        if let Some(build) = &self.build {
            out += &manner.wrapped(&counts(build), 2);
            if self.assumed() > 0 {
                let see =
                    format!("assumed: see them with  shortblock show {} --assumed", self.name);
                out += &manner.wrapped(&see, 2);
            }
        }
        out
    }

    fn json(&self) -> Json {
        let sources = self.sources();
        let faults = match &self.faults {
            None => Vec::new(),
            Some(faults) => faults.faults.iter().map(|f| json::finding(f, sources)).collect(),
        };
        let doubts = self.doubts.iter().map(|doubt| {
            let mut object = json::finding(&doubt.finding, sources);
            object["doubt_ok"] = json!(doubt.silenced);
            object
        });
        let doubts: Vec<Json> = doubts.collect();
        let kinds = self.build.as_ref().map(|build| {
            let of = |origin: Origin| (origin.key().to_owned(), json!(count(build, origin)));
            Json::Object(Origin::ALL.into_iter().map(of).collect())
        });
        json!({ "file": self.name, "faults": faults, "doubts": doubts, "kinds": kinds })
    }

    fn csv(&self) -> String {
        let sources = self.sources();
        let faults = self.faults.as_ref().map_or(&[][..], |faults| &faults.faults);
        let doubts = self.doubts.iter().map(|doubt| {
            let kind = if doubt.silenced.is_some() { "doubt, silenced" } else { "doubt" };
            (kind, &doubt.finding)
        });
        let all = faults.iter().map(|fault| ("fault", fault)).chain(doubts);
        all.map(|(kind, finding)| {
            let json = json::finding(finding, sources);
            let cell = |key: &str| match &json[key] {
                Json::String(text) => text.clone(),
                Json::Null => String::new(),
                other => other.to_string(),
            };
            let keys = ["file", "line", "column", "path", "what", "remedy"];
            let cells = keys.into_iter().map(cell);
            csv_row(
                &[self.name.clone(), kind.to_owned()].into_iter().chain(cells).collect::<Vec<_>>(),
            )
        })
        .collect()
    }

    fn sources(&self) -> &Sources {
        self.faults.as_ref().map_or(&self.sources, |faults| &faults.sources)
    }
}

fn count(build: &Build, origin: Origin) -> usize {
    build.items().filter(|(_, item)| item.origin == origin).count()
}

/// How many values there are of each kind.
fn counts(build: &Build) -> String {
    let all = build.items().count();
    let kinds: Vec<String> = Origin::ALL
        .into_iter()
        .map(|origin| (count(build, origin), origin.word()))
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    format!("{}: {}", counted(all, "value"), kinds.join(", "))
}
