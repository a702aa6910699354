//! A site → schedules, drawings and traces.

use cordwright::agreed;
use cordwright::drawing::{self, Marks};
use cordwright::judgement::Site;
use cordwright::policy::Policy;
use cordwright::report::Look;
use cordwright::rules;
use cordwright::schedule::{self, Kind};
use cordwright::trace;

use super::laid_out::{settings, site};
use super::reports::{assert_harmless, assert_xml};

/// Every schedule has as many cells in each row as it has columns, and every drawing can be read.
pub fn run(bytes: &[u8]) {
    let site = Site::read(site(bytes));
    let analysis = site.analysis(settings().today);
    let look = Look {
        width: 60,
        color: false,
        unicode: true,
    };
    let kinds = [Kind::Cords, Kind::Order(None), Kind::Labels, Kind::Loads];
    for kind in kinds {
        let schedule = schedule::schedule(&analysis, kind);
        assert_harmless(schedule::text(&schedule, &look).as_str());
        assert_harmless(schedule::markdown(&schedule).as_str());
        assert_harmless(schedule::html(&[&schedule]).as_str());
        let csv = schedule::csv(&[("quay".to_owned(), schedule)]);
        let mut rows = csv::ReaderBuilder::new().from_reader(csv.as_str().as_bytes());
        rows.records()
            .for_each(|row| drop(row.expect("as many cells as headings")));
    }
    let policy = Policy::of(&site.model);
    let outcome = rules::run(&analysis, &[policy], |_| true);
    assert!(outcome.crashed.is_empty(), "{:?}", outcome.crashed);
    let (findings, _) = agreed::depart(&policy, analysis.today, outcome.findings);
    let marks = Marks::of(&findings);
    let sheets = [
        drawing::racks(&analysis, &marks),
        drawing::single_line(&analysis, &marks, None),
    ];
    for sheet in &sheets {
        assert_xml(drawing::svg(sheet).as_str());
    }
    assert_harmless(drawing::html(&sheets).as_str());
    for name in trace::names(&analysis).take(12) {
        assert!(
            trace::trace(&analysis, name).is_some(),
            "{name} has no trace"
        );
    }
}
