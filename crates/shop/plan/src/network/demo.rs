//! The demo engines for tests, held in memory.

use shortblock_engine::{Build, Memory, load};

macro_rules! shop {
    ($($path:literal),*) => {
        [$(($path, include_str!(concat!("../../../../../demo/", $path)))),*]
    };
}

/// A demo build by its file.
pub(super) fn demo(entry: &str) -> Build {
    let texts = shop![
        "114/engine.toml",
        "114/b1.toml",
        "126/engine.toml",
        "126/b1.toml",
        "201/b1.toml",
        "shelf/cams/I-14.toml",
        "shelf/cams/X-29.toml",
        "shelf/heads/F-12.toml",
        "shelf/heads/F-12-exhaust.csv"
    ];
    let memory = texts.iter().fold(Memory::default(), |shop, (path, text)| shop.with(path, text));
    *load(entry, &memory).build.expect("the demo is in order")
}
