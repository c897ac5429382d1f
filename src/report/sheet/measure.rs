//! What is still to be measured, with a blank to write on beside the car.

use super::systems::System;
use super::{Judged, keyed, number, shown, wide};
use maud::{Markup, html};

/// The missing values of a system.
pub(super) fn to_measure(judged: &Judged, system: &System) -> Markup {
    let rules = &judged.assessment.index.rules;
    let table = html! {
        table.measure {
            caption { "Not yet measured in " (shown(system.name)) ", what settles most first" }
            thead { tr {
                th scope="col" { "value and how to get it" }
                th scope="col" { "written like" }
                th scope="col" { "measured" }
                th scope="col" { "waiting for it" }
            } }
            tbody {
                @for (at, needed) in &system.needed {
                    tr data-of=(format!("/needed/{at}")) {
                        th scope="row" {
                            (keyed("/path", &needed.path))
                            @if let Some(description) = &needed.description { small { (keyed("/description", description)) } }
                        }
                        td.value { @if let Some(example) = &needed.example { (keyed("/example", example)) } }
                        td { span.blank { span.unseen { "blank to write on" } } }
                        td {
                            (number("/settles_alone", needed.settles_alone)) " settled, "
                            (number("/helps", needed.helps)) " helped"
                            small {
                                @for (n, rule) in needed.rules.iter().filter_map(|r| rules.get(*r)).enumerate() {
                                    @if n > 0 { ", " }
                                    (keyed(&format!("/rules/{n}"), &rule.name))
                                }
                            }
                        }
                    }
                }
            }
        }
    };
    html! {
        @if !system.needed.is_empty() {
            h3 { "To measure" }
            (wide(&format!("To measure in {}", system.name), &table))
        }
    }
}
