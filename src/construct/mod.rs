//! The constructions. One file each; [`CONSTRUCTIONS`] lists them.

/// What a construction is, for lists and help.
pub trait Construction: Sync {
    /// Name in job files and commands.
    fn id(&self) -> &'static str;
    /// Plain words for the sheet.
    fn title(&self) -> &'static str;
    /// When it is used, one sentence.
    fn when(&self) -> &'static str;
}

/// Every construction, in the order tried.
pub const CONSTRUCTIONS: &[&dyn Construction] = &[];
