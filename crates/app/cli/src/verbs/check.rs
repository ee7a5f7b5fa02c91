//! `check`: everything that is the matter with a file, all at once.

use crate::Done;
use crate::args::{Check, CheckAssert};
use crate::failure::{ANSWER_IS_NO, Failure};
use crate::files;
use crate::json;
use crate::manner::{Form, Manner};
use crate::text::{counted, csv_row};
use serde_json::{Value as Json, json};
use shortblock_engine::{Build, Doubt, Faults, Finding, Loaded, Sources, render};
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
    let code = if checked.iter().any(|one| one.loaded.build.is_err()) {
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

struct Checked {
    name: String,
    loaded: Loaded,
}

impl Checked {
    fn of(file: &str, shop: Option<&Path>) -> Result<Self, Failure> {
        let (name, loaded) = files::read(file, shop)?;
        Ok(Self { name, loaded })
    }

    fn open_doubts(&self) -> Vec<&Doubt> {
        files::open_doubts(&self.loaded.doubts)
    }

    fn assumed(&self) -> usize {
        self.loaded.build.as_ref().map_or(0, |build| build.assumed().count())
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
        let head = match (&self.loaded.build, doubts.len()) {
            (Err(faults), 0) => format!("has {}", counted(faults.faults.len(), "fault")),
            (Err(faults), n) => {
                let faults = counted(faults.faults.len(), "fault");
                format!("has {faults} and {}", counted(n, "doubt"))
            }
            (Ok(_), 0) => "in order".to_owned(),
            (Ok(_), n) => format!("can be used, with {}", counted(n, "doubt")),
        };
        let head = manner.wrapped(&format!("{}: {head}", self.name), 0);
        let mut out = manner.strong(head.trim_end()) + "\n";
        if let Err(faults) = &self.loaded.build {
            out += &format!("\n{}", faults.render());
            if Path::new(&self.name).file_name().is_some_and(|name| name == "engine.toml") {
                let text = "It holds what never changes about an engine. What is not said here may \
                            stand in the builds beside it: check those.";
                out += &format!("\n{}", manner.wrapped(text, 0));
            }
        }
        if !doubts.is_empty() {
            out += if self.loaded.build.is_err() { "\nDoubts:\n\n" } else { "\n" };
            let findings: Vec<Finding> = doubts.iter().map(|d| d.finding.clone()).collect();
            out += &render(&findings, &self.loaded.sources);
        }
        for doubt in self.loaded.doubts.iter() {
            if let Some(reason) = &doubt.silenced {
                let what = &doubt.finding.what;
                out += &manner.wrapped(&format!("{what}: you say \"{reason}\""), 2);
            }
        }
        if let Ok(build) = &self.loaded.build {
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
        let faults = match &self.loaded.build {
            Ok(_) => Vec::new(),
            Err(faults) => faults.faults.iter().map(|f| json::finding(f, sources)).collect(),
        };
        let doubts = self.loaded.doubts.iter().map(|doubt| {
            let mut object = json::finding(&doubt.finding, sources);
            object["doubt_ok"] = json!(doubt.silenced);
            object
        });
        let doubts: Vec<Json> = doubts.collect();
        let kinds = self.loaded.build.as_ref().map(|build| {
            let of = |origin: Origin| (origin.key().to_owned(), json!(count(build, origin)));
            Json::Object(Origin::ALL.into_iter().map(of).collect())
        });
        json!({ "file": self.name, "faults": faults, "doubts": doubts, "kinds": kinds.ok() })
    }

    fn csv(&self) -> String {
        let sources = self.sources();
        let faults = self.loaded.build.as_ref().err().map_or(&[][..], |faults| &faults.faults);
        let doubts = self.loaded.doubts.iter().map(|doubt| {
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
        match &self.loaded.build {
            Err(Faults { sources, .. }) => sources,
            Ok(_) => &self.loaded.sources,
        }
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
