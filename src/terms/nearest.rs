//! The known word that someone most likely meant.

/// The nearest of `known` to `word`, if it is near enough to be meant: a third of its letters may differ, or one; letters
/// changed about count once. Of equally near ones the first.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A word this long is no slip of the finger, and comparing it would cost the product of the lengths.
    const LONGEST: usize = 100;
    let letters = word.chars().count();
    if letters > LONGEST {
        return None;
    }
    let folded = word.to_lowercase().replace([' ', '-'], "_");
    let distance = |candidate: &str| {
        let length = candidate.chars().count();
        let allowed = (letters.max(length) / 3).max(1);
        if letters.abs_diff(length) > allowed {
            return None;
        }
        let candidate = candidate.to_lowercase().replace([' ', '-'], "_");
        Some(strsim::damerau_levenshtein(&folded, &candidate)).filter(|d| *d <= allowed)
    };
    let near = known.into_iter().filter_map(|candidate| Some((distance(candidate)?, candidate)));
    near.min_by_key(|(distance, _)| *distance).map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_are_forgiven_and_other_words_are_not() {
        let known = ["inlet_height", "draws_from", "place"];
        assert_eq!(nearest("inlet_hight", known), Some("inlet_height"));
        assert_eq!(nearest("inlet height", known), Some("inlet_height"));
        assert_eq!(nearest("Draws-From", known), Some("draws_from"));
        assert_eq!(nearest("palce", known), Some("place"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest(&"x".repeat(1_000_000), known), None);
    }
}
