//! Definitions as a tree, before they are written down.

/// A value of the definitions.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A name or a quantity.
    Word(String),
    /// Text that is written as it stands, right or wrong.
    Raw(String),
    /// A list.
    List(Vec<Node>),
    /// Keys and values. A key may stand twice, as in a mistake.
    Map(Vec<(String, Node)>),
}

impl From<&str> for Node {
    fn from(text: &str) -> Self {
        Self::Word(text.to_owned())
    }
}

impl From<String> for Node {
    fn from(text: String) -> Self {
        Self::Word(text)
    }
}

/// A mapping of these keys.
pub fn map<const N: usize>(pairs: [(&str, Node); N]) -> Node {
    Node::Map(
        pairs
            .into_iter()
            .map(|(key, value)| (key.to_owned(), value))
            .collect(),
    )
}

/// A list of words.
pub fn words<'a>(items: impl IntoIterator<Item = &'a str>) -> Node {
    Node::List(items.into_iter().map(Node::from).collect())
}

impl Node {
    /// Keys and values of a mapping; nothing for anything else.
    pub fn pairs(&self) -> &[(String, Node)] {
        match self {
            Self::Map(pairs) => pairs,
            _ => &[],
        }
    }

    /// Keys and values of a mapping, to be changed.
    pub fn pairs_mut(&mut self) -> &mut Vec<(String, Node)> {
        match self {
            Self::Map(pairs) => pairs,
            other => panic!("{other:?} is no mapping"),
        }
    }

    /// The value under a key.
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.pairs()
            .iter()
            .find(|(own, _)| own == key)
            .map(|(_, value)| value)
    }

    /// The value at the end of a path of keys; a number stands for an item of a list.
    pub fn at(&self, path: &[&str]) -> Option<&Node> {
        path.iter().try_fold(self, |node, key| match node {
            Self::List(items) => items.get(key.parse::<usize>().ok()?),
            other => other.get(key),
        })
    }

    /// The value at the end of a path of keys, to be changed.
    pub fn at_mut(&mut self, path: &[&str]) -> Option<&mut Node> {
        path.iter().try_fold(self, |node, key| match node {
            Self::List(items) => items.get_mut(key.parse::<usize>().ok()?),
            Self::Map(pairs) => pairs
                .iter_mut()
                .find(|(own, _)| own == key)
                .map(|(_, value)| value),
            _ => None,
        })
    }

    /// Puts a value under a key, in the place of the one that was there.
    pub fn set(&mut self, key: &str, value: impl Into<Node>) {
        let value = value.into();
        match self.at_mut(&[key]) {
            Some(old) => *old = value,
            None => self.pairs_mut().push((key.to_owned(), value)),
        }
    }

    /// The same with a value under a key.
    pub fn with(mut self, key: &str, value: impl Into<Node>) -> Self {
        self.set(key, value);
        self
    }

    /// The mapping under a key; an empty one if there was none.
    pub fn entry(&mut self, key: &str) -> &mut Node {
        if self.get(key).is_none() {
            self.set(key, Node::Map(Vec::new()));
        }
        self.at_mut(&[key]).unwrap()
    }

    /// Takes a key away.
    pub fn remove(&mut self, key: &str) -> Option<Node> {
        let pairs = self.pairs_mut();
        let at = pairs.iter().position(|(own, _)| own == key)?;
        Some(pairs.remove(at).1)
    }

    /// The text of a word.
    pub fn text(&self) -> &str {
        match self {
            Self::Word(text) | Self::Raw(text) => text,
            other => panic!("{other:?} is no word"),
        }
    }

    /// The number that a quantity begins with.
    pub fn number(&self) -> f64 {
        let digits = self.text().split(' ').next().unwrap_or_default();
        digits
            .parse()
            .unwrap_or_else(|_| panic!("{self:?} begins with no number"))
    }
}
