//! Inlets without cords → a plan → definitions.

use cordwright::input::SiteInput;
use cordwright::judgement::{FileRead, Site};
use cordwright::plan::{Asked, inserted, plan};
use cordwright::remedy::applied;
use cordwright::source::FileId;

use super::laid_out::{settings, site};

/// A plan takes no outlet twice, its definitions are read whole by us and by another reader, and written into the
/// files it brings just its own cords and nothing that cannot be read.
pub fn run(bytes: &[u8]) {
    let input = site(bytes);
    let plan = plan(&input, &Asked::default(), &settings());
    let yaml = plan.definitions.as_str();
    let read = FileRead::new(FileId(0), "plan.yaml".to_owned(), yaml.as_bytes().to_vec());
    assert_eq!(read.broken, None, "{yaml}");
    assert_eq!(
        read.fragment.sections().cords.len(),
        plan.cords.len(),
        "{yaml}"
    );
    if let Err(why) = serde_yaml::from_str::<serde_yaml::Value>(yaml) {
        panic!("{why} in {yaml}");
    }
    let mut outlets: Vec<&str> = plan.cords.iter().map(|cord| cord.from.as_str()).collect();
    outlets.sort_unstable();
    assert!(
        outlets.windows(2).all(|two| two[0] != two[1]),
        "{outlets:?}"
    );
    let before = Site::read(input.clone());
    let Some(insertion) = inserted(&plan, &before).filter(|_| !plan.cords.is_empty()) else {
        return;
    };
    let changed = applied(&before.sources, &insertion.edits);
    let mut files = input.files;
    for (path, text) in changed {
        let own = files.iter_mut().find(|(own, _)| *own == path);
        own.expect("a file of the site").1 = text.into_bytes();
    }
    let after = Site::read(SiteInput {
        files,
        unread: input.unread,
        passed_over: input.passed_over,
    });
    assert_eq!(
        after.model.cords.len(),
        before.model.cords.len() + plan.cords.len()
    );
    assert_eq!(after.unread.len(), before.unread.len());
}
