//! Margins as bars against their limit: the limit is the upright line, what is left of the way to it stands to the right, what
//! oversteps it to the left.

use crate::assess::Margin;
use maud::{Markup, html};

/// Width of a bar in its own units; the limit stands a quarter of the way in.
const WIDTH: f64 = 96.0;
const LIMIT: f64 = 24.0;

/// A bar's length for a share of the limit of one.
const WHOLE: f64 = WIDTH - LIMIT;

/// The bar of a margin, with a hollow square where it stood before, if that is elsewhere; nothing where the limit has no true zero
/// to take a share of. The numbers beside it say the same.
pub(super) fn bar(margin: &Margin, before: Option<&Margin>) -> Markup {
    let Some(share) = margin.share().filter(|s| s.is_finite()) else { return html! {} };
    let old =
        before.and_then(|m| m.share()).filter(|s| s.is_finite()).map(end).filter(|old| (old - end(share)).abs() >= 0.5);
    html! {
        svg.bar viewBox="0 0 96 12" aria-hidden="true" {
            path d=(outline(share)) {}
            @if let Some(old) = old { rect.was x=(format!("{:.1}", (old - 3.0).clamp(0.0, WIDTH - 6.0))) y="3" width="6" height="6" {} }
        }
    }
}

/// Where a margin ends on the bar.
fn end(share: f64) -> f64 {
    (LIMIT + share * WHOLE).clamp(0.0, WIDTH)
}

fn outline(share: f64) -> String {
    let (reach, end) = (share * WHOLE, end(share));
    let limit = format!("M{LIMIT} 0V12");
    if share < 0.0 {
        // What oversteps is drawn hollow, and open at its end where it goes on.
        let close = if LIMIT + reach < 0.0 { "" } else { "Z" };
        format!("{limit}M{end:.1} 3H{LIMIT}V9H{end:.1}{close}")
    } else {
        let lines: String = [3.0, 4.5, 6.0, 7.5, 9.0].iter().map(|y| format!("M{LIMIT} {y}H{end:.1}")).collect();
        format!("{limit}{lines}")
    }
}

#[cfg(test)]
mod tests {
    use super::outline;

    #[test]
    fn margins_stand_right_of_the_limit_and_oversteps_left() {
        assert!(outline(0.5).contains("H60.0"));
        assert!(outline(9.0).contains("H96.0"));
        assert!(outline(-0.25).contains("M6.0 3"));
        assert!(outline(-0.25).ends_with('Z'));
        assert!(!outline(-3.0).ends_with('Z'));
    }
}
