//! The judgement: a spec held against the rulebook gives an Assessment.
