//! The demo's files are those that the generator writes, and hold what the truth says.

mod files;
mod physics;

use shortblock_demo::File;
use std::sync::LazyLock;

/// Made once for all tests.
static FILES: LazyLock<Vec<File>> = LazyLock::new(shortblock_demo::files);
