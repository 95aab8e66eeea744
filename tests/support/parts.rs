//! What is looked up in a carrier.

use sledwright::design::{Design, Part, Role};
use sledwright::length::Length;

/// Length, width and thickness of the carrier.
pub fn sizes(design: &Design) -> [Length; 3] {
    [design.carrier.length, design.carrier.width, design.carrier.thickness]
}

/// The first part with a role.
pub fn part(design: &Design, role: Role) -> &Part {
    design.parts.iter().find(|part| part.role == role).unwrap_or_else(|| panic!("no {role:?}"))
}
