//! The classes of a finding.

/// How bad a broken rule is: the three deficiency classes of Directive 2014/45/EU, and advice below them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Class {
    /// Advice: no requirement, but worth knowing.
    Advisory,
    /// Minor: no significant effect on safety.
    Minor,
    /// Major: may prejudice safety or put others at risk.
    Major,
    /// Dangerous: a direct and immediate risk.
    Dangerous,
}

impl Class {
    /// From the worst to the mildest.
    pub const ALL: [Class; 4] = [Class::Dangerous, Class::Major, Class::Minor, Class::Advisory];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Class::Dangerous => "dangerous",
            Class::Major => "major",
            Class::Minor => "minor",
            Class::Advisory => "advisory",
        }
    }

    /// The class of a word.
    pub fn named(word: &str) -> Option<Class> {
        Class::ALL.into_iter().find(|c| c.word() == word)
    }
}
