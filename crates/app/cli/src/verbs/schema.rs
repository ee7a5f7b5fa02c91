//! `schema`: what a file may hold, for machines and as a page.

use shortblock_session::File;

use crate::Done;
use crate::args::{Schema, SchemaOf};
use crate::failure::Failure;
use crate::manner::Manner;

/// The JSON schema, or the documentation page made from the same declaration.
pub fn run(args: &Schema, manner: &Manner) -> Result<Done, Failure> {
    let file = match args.of {
        SchemaOf::Engine => None,
        SchemaOf::Session => Some(File::Session),
        SchemaOf::Dyno => Some(File::Dyno),
    };
    if args.docs {
        let page = file.map_or_else(shortblock_engine::docs_page, shortblock_session::docs_page);
        return Ok(Done::well(manner.text(&page)));
    }
    let schema = file.map_or_else(shortblock_engine::json_schema, shortblock_session::json_schema);
    Ok(Done::well(format!("{schema:#}\n")))
}
