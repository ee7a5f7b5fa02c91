//! What comes from the declared words: schema and page.

use shortblock_session::{File, Kind, docs_page, json_schema};

#[test]
fn schema_and_page_know_every_word() {
    for file in File::ALL {
        let schema = json_schema(file);
        let page = docs_page(file);
        for field in file.fields() {
            let shape = &schema["properties"][field.word];
            assert_eq!(shape["description"], field.help, "{}", field.word);
            assert!(page.contains(&format!("| `{}`", field.word)), "{}", field.word);
            if let Kind::Tables(inner) = field.kind {
                for below in inner {
                    assert!(shape["items"]["properties"][below.word].is_object());
                    assert!(page.contains(&format!("| `{}`", below.word)));
                }
            }
        }
        assert_eq!(schema["properties"]["format"]["const"], 1);
        assert!(page.starts_with(&format!("# The {}\n", file.name())));
    }
}
