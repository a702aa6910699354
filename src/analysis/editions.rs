//! Which editions of the wiring rules may bind at a site, and what they say where they differ.

use crate::citation::Cited;
use crate::finding::Fact;
use crate::tables::editions::{self, Edition, ShortTimes};

use super::Analysis;

/// What one edition says of something.
pub(crate) type Said<T> = (&'static Edition, &'static Cited<T>);

impl Analysis<'_> {
    /// What is said of something by the edition that binds; where the site does not name one of which that is
    /// known, the different answers of all that may bind, the oldest edition of each.
    pub(crate) fn said_by_editions<T: PartialEq>(
        &self,
        of: impl Fn(&'static Edition) -> Option<&'static Cited<T>>,
    ) -> Vec<Said<T>> {
        let answer = |edition| of(edition).map(|said| (edition, said));
        let named = self.model.site.edition.known();
        if let Some(said) = named.and_then(|named| named.listed()).and_then(answer) {
            return vec![said];
        }
        let Some(practice) = self.practice() else {
            return Vec::new();
        };
        let country = self.site_country().map(|country| country.code.as_str());
        let mut all: Vec<Said<T>> = Vec::new();
        for said in editions::in_question(practice, country)
            .into_iter()
            .filter_map(answer)
        {
            if all.iter().all(|(_, known)| known.value != said.1.value) {
                all.push(said);
            }
        }
        all
    }

    /// What the edition that binds says of something, or where the site does not name it all that may bind alike;
    /// `None` where one of them is not known to say the same.
    pub(crate) fn said_by_every_edition<T: PartialEq>(
        &self,
        of: impl Fn(&'static Edition) -> Option<&'static Cited<T>>,
    ) -> Option<&'static Cited<T>> {
        if !self.model.site.edition.is_absent() {
            return of(self.model.site.edition.known()?.listed()?);
        }
        let country = self.site_country().map(|country| country.code.as_str());
        let editions = editions::in_question(self.practice()?, country);
        let said: Option<Vec<_>> = editions.into_iter().map(of).collect();
        let said = said?;
        let first = *said.first()?;
        said.iter()
            .all(|other| other.value == first.value)
            .then_some(first)
    }

    /// Up to which devices the short disconnection times hold, by the editions that may bind.
    pub(crate) fn short_times(&self) -> &[ShortTimes] {
        self.shared.short_times(|| {
            let said = self.said_by_editions(|edition| edition.short_times.as_ref());
            said.into_iter().map(|(_, times)| times.value).collect()
        })
    }

    /// The edition that is asked for where the answers differ.
    pub(crate) fn edition_fact(&self) -> Option<Fact> {
        let edition = &self.model.site.edition;
        let otherwise = self.site_place()?;
        Some(Fact::of_site("edition", edition, otherwise))
    }

    /// Why the edition does not settle it, as a clause.
    pub(crate) fn edition_lack(&self) -> String {
        match self.model.site.edition.known() {
            Some(named) => format!("what {named} says of it is not known here"),
            None if self.model.site.edition.is_absent() => {
                "the site does not say which edition binds".to_owned()
            }
            None => "the edition that binds at the site cannot be read".to_owned(),
        }
    }

    /// What to do about it.
    pub(crate) fn edition_advice(&self) -> String {
        match self.model.site.edition.known() {
            Some(named) => format!("Look it up in {named}, and record what you decide as a departure."),
            None => "Write the edition that the installation must keep to under `site`, like `edition: BS 7671:2018+A2:2022`; its certificate names it.".to_owned(),
        }
    }
}
