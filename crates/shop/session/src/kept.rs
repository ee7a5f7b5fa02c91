//! The scatter that a kept comparison was worked out with, written down and read back.

use shortblock_compare::{Known, Origin, Profile, Scatter};
use shortblock_document::Loader;
use toml_edit::{DocumentMut, Item, Table, value};

use crate::entry::Entry;
use crate::form::Form;
use crate::load::{Loaded, Reading};
use crate::schema::{CHANGE_WORDS, File};
use crate::seen::CHANGES;
use crate::write::{number, numbers, word_of};

/// The text of a file that holds this scatter; [`load_kept`] gives it back to the last bit.
#[must_use]
pub fn kept_text(scatter: &Scatter) -> String {
    let mut document = DocumentMut::new();
    document["format"] = value(1);
    document["change"] = value(word_of(scatter.change, &CHANGES, CHANGE_WORDS));
    if let Some(resels) = scatter.resels_per_1000_rpm {
        document["resels_per_1000_rpm"] = number(resels);
    }
    for (word, known) in parts(scatter) {
        document[word] = Item::Table(table(known));
    }
    document.to_string()
}

fn parts(scatter: &Scatter) -> [(&'static str, &Known); 9] {
    [
        ("pull", &scatter.pull),
        ("steady", &scatter.steady),
        ("refit", &scatter.refit),
        ("session", &scatter.session),
        ("drift", &scatter.slope),
        ("warm-up", &scatter.warm_up),
        ("dyno", &scatter.dyno),
        ("correction", &scatter.correction),
        ("oil", &scatter.oil),
    ]
}

fn table(known: &Known) -> Table {
    let mut table = Table::new();
    if let Origin::History { sessions } = known.origin {
        table["sessions"] = value(i64::try_from(sessions).unwrap_or(i64::MAX));
    }
    table["dof"] = number(known.dof);
    table["from_rpm"] = number(known.variance.from_rpm());
    let variances: Vec<Option<f64>> =
        known.variance.variances().iter().copied().map(Some).collect();
    table["variances"] = numbers(&variances);
    table
}

/// Reads the scatter that the loader knows as `entry`.
#[must_use]
pub fn load_kept(entry: &str, loader: &dyn Loader) -> Loaded<Scatter> {
    let mut reading = Reading::new(loader);
    let scatter = reading.tree(entry, None).and_then(|root| {
        let mut form = Form::of(File::Kept);
        let entry = form.whole(&root);
        let scatter = scatter(&mut form, &entry);
        reading.take(form);
        scatter
    });
    reading.end(scatter)
}

fn scatter(form: &mut Form, entry: &Entry) -> Option<Scatter> {
    let mut known = |word: &str| known(form, entry.table(word)?, word);
    let (pull, steady) = (known("pull"), known("steady"));
    let (refit, session) = (known("refit"), known("session"));
    let (slope, warm_up, dyno) = (known("drift"), known("warm-up"), known("dyno"));
    let (correction, oil) = (known("correction"), known("oil"));
    Some(Scatter {
        change: entry.choice("change", &CHANGES)?,
        pull: pull?,
        steady: steady?,
        refit: refit?,
        session: session?,
        slope: slope?,
        warm_up: warm_up?,
        dyno: dyno?,
        correction: correction?,
        oil: oil?,
        resels_per_1000_rpm: entry.number("resels_per_1000_rpm"),
    })
}

fn known(form: &mut Form, entry: &Entry, word: &str) -> Option<Known> {
    let dof = entry.number("dof")?;
    let variances: Option<Vec<f64>> = entry.numbers("variances")?.iter().copied().collect();
    let profile = variances.and_then(|v| Profile::bands(entry.number("from_rpm")?, v));
    let Some(variance) = profile.filter(|_| dof > 0.0) else {
        let what = "variances are one or more numbers of 0 or above, dof is above 0";
        let remedy = "Work the comparison out again; a kept one is not to be changed by hand.";
        form.wrong(entry.place_of("variances"), &format!("{word}.variances"), what, remedy);
        return None;
    };
    let origin = match entry.count("sessions") {
        Some(sessions) => Origin::History { sessions: sessions as usize },
        None => Origin::Assumed,
    };
    Some(Known { variance, dof, origin })
}
