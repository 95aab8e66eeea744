use super::*;

#[test]
fn table_is_in_the_order_of_the_names_and_names_are_unique() {
    for (place, row) in RULES.iter().enumerate() {
        assert_eq!(row.rule as usize, place, "{}", row.id);
        assert_eq!(Rule::by_id(row.id), Some(row.rule), "{} stands twice", row.id);
        assert!(row.id.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", row.id);
    }
}
