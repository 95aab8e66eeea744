//! What several tests start from.

use sledwright::request::{self, Request};
use std::path::Path;

/// The file names of the examples and their requests, in the order of their names.
pub fn examples() -> Vec<(String, Request)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let load = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let entries = std::fs::read_dir(&folder).expect("the folder of examples");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("entry").file_name().to_string_lossy().into_owned()).collect();
    names.retain(|name| name.ends_with(".toml"));
    names.sort();
    let request = |name: String| match request::from_toml(&load(&name).expect("readable"), &name, &load) {
        Ok(request) => (name, request),
        Err(report) => panic!("{report}"),
    };
    names.into_iter().map(request).collect()
}
