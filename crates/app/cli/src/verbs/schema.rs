//! `schema`: what an engine file may hold, for machines and as a page.

use crate::Done;
use crate::args::Schema;
use crate::failure::Failure;
use crate::manner::Manner;

/// The JSON schema, or the documentation page made from the same declaration.
pub fn run(args: &Schema, manner: &Manner) -> Result<Done, Failure> {
    if args.docs {
        return Ok(Done::well(manner.text(&shortblock_engine::docs_page())));
    }
    let schema = shortblock_engine::json_schema();
    Ok(Done::well(format!("{schema:#}\n")))
}
