//! What a site says of parts of its own, written as the pages of the rules are.

use std::path::Path;

use super::{cordage, coupler, each_site};
use crate::failure::Failure;
use crate::model::own::OwnParts;
use crate::tables::retention::Kind;

/// The pages of the part that goes by a name in the sites at, above or below a path.
///
/// # Errors
/// No site is there, or none that describes such a part well enough to judge by.
pub(super) fn pages(name: &str, path: &Path) -> Result<Vec<String>, Failure> {
    let mut pages = Vec::new();
    let read = each_site(path, |_, site| {
        let of_site = page(name, &site.model.own_parts);
        pages.extend(of_site.filter(|page| !pages.contains(page)));
    });
    read.map_err(|failure| failure.advise(ADVICE))?;
    match pages.is_empty() {
        true => Err(Failure::new(format!("no site there describes {name}")).advise(ADVICE)),
        false => Ok(pages),
    }
}

const ADVICE: &str = "Parts of a site's own are read from the site: name it with \"--in PATH\", unless the working \
                      folder lies in it. \"cordwright check\" says what is wrong with a part that is described there.";

fn page(name: &str, parts: &OwnParts) -> Option<String> {
    let couplers: Vec<_> = parts.couplers.all().collect();
    let coupler = parts
        .couplers
        .find(name)
        .map(|own| coupler::page_of(own, name, &couplers));
    let cordage = || parts.cordages.find(name).map(cordage::page_of);
    let latch = || parts.latches.find(name).map(latch);
    coupler.or_else(cordage).or_else(latch)
}

fn latch(kind: &Kind) -> String {
    let Kind {
        name,
        description,
        caution,
        citation,
        ..
    } = kind;
    let mates = match kind.mates.is_empty() {
        true => "parts of its own system only".to_owned(),
        false => format!("parts of its own system, and of {}", kind.mates.join(", ")),
    };
    format!(
        "# {name}\n\nA latch system that a site describes itself: {description}.\
         \n\n## Holds\n\nIn {mates}. Source: {citation}.\
         \n\n## Watch for\n\n{caution}. Source: {citation}.\
         \n\n## Caution\n\nAdvisory only. Pull at the coupler: what was not heard to lock does not hold."
    )
}
