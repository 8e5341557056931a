//! Reads which file uses which, and how long files and functions are, from the source itself.
//!
//! A file uses another when it names a path into it that starts at `crate`, `super`, `self` or one of its own
//! child modules: in a `use` line, in an expression or inside a macro. Code that only tests compile is left out.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::{fmt, fs, io};

use proc_macro2::{TokenStream, TokenTree};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// A module's path below the crate: `["facts", "shot"]`.
pub type Module = Vec<String>;

/// A function and how many lines of code its body has.
#[derive(Debug)]
pub struct Function {
    pub name: String,
    pub lines: usize,
}

/// What one file holds.
#[derive(Debug, Default)]
pub struct Source {
    /// The files it uses.
    pub uses: BTreeSet<Module>,
    /// Lines of code: neither blank, nor comment, nor test.
    pub lines: usize,
    pub functions: Vec<Function>,
    /// Lines with a `Result` whose error is a text.
    pub text_errors: Vec<usize>,
}

/// All files of a crate by the module that each holds.
pub struct House {
    pub files: BTreeMap<Module, Source>,
}

/// Files each of which uses the others, perhaps through some of them.
pub struct Circle {
    pub files: Vec<String>,
    /// Which uses which.
    pub arrows: Vec<(String, String)>,
}

impl fmt::Display for Circle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.arrows.iter().try_for_each(|(from, to)| writeln!(f, "  {from} uses {to}"))
    }
}

impl House {
    /// Reads every file under `src`.
    pub fn read(src: &Path) -> io::Result<Self> {
        let mut texts = Vec::new();
        collect(src, &mut texts)?;
        let texts = texts.into_iter().map(|path| {
            let name = path.strip_prefix(src).map_err(io::Error::other)?.to_string_lossy().into_owned();
            Ok((name, fs::read_to_string(&path)?))
        });
        Self::of(&texts.collect::<io::Result<Vec<_>>>()?)
    }

    /// Reads files given by their names below `src/` and their text.
    pub fn of(texts: &[(String, String)]) -> io::Result<Self> {
        let parsed = texts.iter().map(|(name, text)| Ok((module(name), parse(name, text)?)));
        let parsed: BTreeMap<Module, syn::File> = parsed.collect::<io::Result<_>>()?;
        let tests = test_modules(&parsed);
        let known: BTreeSet<Module> = parsed.keys().filter(|m| !tests.contains(*m)).cloned().collect();
        let files = known.iter().map(|m| (m.clone(), source(m, &parsed[m], &known))).collect();
        Ok(Self { files })
    }

    /// Groups of files that use each other in a circle.
    pub fn circles(&self) -> Vec<Circle> {
        let reach: BTreeMap<&Module, BTreeSet<&Module>> =
            self.files.keys().map(|m| (m, self.reached(m))).collect();
        let mut circles = Vec::new();
        let mut told = BTreeSet::new();
        for (file, reached) in &reach {
            if reached.contains(file) && told.insert(*file) {
                let others = reached.iter().filter(|other| reach[**other].contains(file));
                let circle: BTreeSet<&Module> = others.copied().collect();
                told.extend(&circle);
                circles.push(self.circle(&circle));
            }
        }
        circles
    }

    fn circle(&self, files: &BTreeSet<&Module>) -> Circle {
        let inside = |from: &Module| {
            let from_name = named(from);
            let uses = self.files[from].uses.iter().filter(|to| files.contains(to));
            uses.map(move |to| (from_name.clone(), named(to))).collect::<Vec<_>>()
        };
        Circle {
            files: files.iter().map(|m| named(m)).collect(),
            arrows: files.iter().flat_map(|m| inside(m)).collect(),
        }
    }

    fn reached(&self, from: &Module) -> BTreeSet<&Module> {
        let mut seen = BTreeSet::new();
        let mut next: Vec<&Module> = self.files[from].uses.iter().collect();
        while let Some(file) = next.pop() {
            if seen.insert(file) {
                next.extend(&self.files[file].uses);
            }
        }
        seen
    }

    /// For every room the rooms that it uses. `lib.rs` and `main.rs` are no rooms.
    pub fn arrows(&self) -> BTreeMap<String, BTreeSet<String>> {
        let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (file, source) in &self.files {
            let Some(room) = room(file) else { continue };
            let used = source.uses.iter().filter_map(self::room).filter(|other| *other != room);
            arrows.entry(room.to_owned()).or_default().extend(used.map(str::to_owned));
        }
        arrows
    }
}

/// The room that a file belongs to.
pub fn room(file: &Module) -> Option<&str> {
    file.first().map(String::as_str).filter(|room| *room != "main")
}

/// A file's module as it is written in Rust.
pub fn named(file: &Module) -> String {
    if file.is_empty() { "lib".into() } else { file.join("::") }
}

/// The arrows between rooms that a table in Markdown names: `| room/ | what it holds | rooms it uses |`.
pub fn table(markdown: &str) -> BTreeMap<String, BTreeSet<String>> {
    let rows = markdown.lines().skip_while(|line| !line.starts_with("| room ")).skip(2);
    rows.take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let room = cells[1].trim_matches('`').trim_end_matches('/').trim_end_matches(".rs");
            let used = cells[cells.len() - 2].split(',').map(str::trim).filter(|room| *room != "–");
            (room.to_owned(), used.map(str::to_owned).collect())
        })
        .collect()
}

fn collect(folder: &Path, into: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            collect(&path, into)?;
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
    Ok(())
}

fn parse(name: &str, text: &str) -> io::Result<syn::File> {
    syn::parse_file(text).map_err(|e| io::Error::other(format!("{name}: {e}")))
}

fn module(name: &str) -> Module {
    let mut parts: Module = name.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    if ["mod", "lib"].contains(&parts[parts.len() - 1].as_str()) {
        parts.pop();
    }
    parts
}

/// Modules in files of their own that only tests compile.
fn test_modules(parsed: &BTreeMap<Module, syn::File>) -> BTreeSet<Module> {
    let mut found = BTreeSet::new();
    for (file, syntax) in parsed {
        for item in &syntax.items {
            if let syn::Item::Mod(declared) = item
                && declared.content.is_none()
                && for_tests(&declared.attrs)
            {
                let path = declared.attrs.iter().find(|a| a.path().is_ident("path")).and_then(path_named);
                let base = if path.is_some() { &file[..file.len() - 1] } else { &file[..] };
                let last = path.unwrap_or_else(|| declared.ident.to_string());
                found.insert(base.iter().cloned().chain([last]).collect());
            }
        }
    }
    found
}

/// The module's file as `#[path = "store_tests.rs"]` names it.
fn path_named(attribute: &syn::Attribute) -> Option<String> {
    let syn::Meta::NameValue(pair) = &attribute.meta else { return None };
    let syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(file), .. }) = &pair.value else { return None };
    Some(file.value().trim_end_matches(".rs").to_owned())
}

/// `#[test]`, `#[cfg(test)]`, `#[cfg(all(test, …))]`, and `#[cfg(doc)]`, which links in comments need.
fn for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| match &a.meta {
        syn::Meta::Path(path) => path.segments.last().is_some_and(|last| last.ident == "test"),
        syn::Meta::List(list) if list.path.is_ident("cfg") => {
            let asks = list.tokens.to_string().replace(' ', "");
            ["test", "doc"].contains(&asks.as_str()) || asks.starts_with("all(test")
        }
        _ => false,
    })
}

fn source(file: &Module, syntax: &syn::File, known: &BTreeSet<Module>) -> Source {
    let mut reader =
        Reader { file, scope: file.clone(), known, source: Source::default(), tests: BTreeSet::new() };
    reader.visit_file(syntax);
    let mut lines = BTreeSet::new();
    for item in &syntax.items {
        lines.append(&mut lines_of(quote::ToTokens::to_token_stream(item)));
    }
    reader.source.lines = lines.difference(&reader.tests).count();
    reader.source
}

/// The lines on which there is code: attributes count, comments do not, documentation is one.
fn lines_of(tokens: TokenStream) -> BTreeSet<usize> {
    let mut lines = BTreeSet::new();
    let mut tokens = tokens.into_iter().peekable();
    while let Some(token) = tokens.next() {
        if let (TokenTree::Punct(hash), Some(TokenTree::Group(group))) = (&token, tokens.peek())
            && hash.as_char() == '#'
            && group.stream().into_iter().next().is_some_and(|first| first.to_string() == "doc")
        {
            tokens.next();
            continue;
        }
        if let TokenTree::Group(group) = token {
            lines.extend([group.span_open().start().line, group.span_close().end().line]);
            lines.append(&mut lines_of(group.stream()));
        } else {
            lines.extend(token.span().start().line..=token.span().end().line);
        }
    }
    lines
}

struct Reader<'h> {
    file: &'h Module,
    /// The module in which the reader is: the file's, or one written out inside it.
    scope: Module,
    known: &'h BTreeSet<Module>,
    source: Source,
    /// Lines that only tests compile.
    tests: BTreeSet<usize>,
}

impl Reader<'_> {
    /// The path leads into another file: that is an arrow.
    fn note(&mut self, path: &[String]) {
        let Some(first) = path.first() else { return };
        let mut rest = &path[1..];
        let mut at = match first.as_str() {
            "crate" | "changeover" => Module::new(),
            "self" => self.scope.clone(),
            "super" => self.scope[..self.scope.len().saturating_sub(1)].to_vec(),
            _ => {
                rest = path;
                self.scope.clone()
            }
        };
        let anchored = rest.len() < path.len();
        while rest.first().is_some_and(|next| next == "super") {
            at.pop();
            rest = &rest[1..];
        }
        let start = at.clone();
        for next in rest {
            at.push(next.clone());
            if !self.known.contains(&at) {
                at.pop();
                break;
            }
        }
        if !anchored && at == start {
            return;
        }
        // A module that is written out inside a file belongs to that file.
        while !self.known.contains(&at) && at.pop().is_some() {}
        if at != *self.file {
            self.source.uses.insert(at);
        }
    }

    fn tree(&mut self, tree: &syn::UseTree, path: &mut Vec<String>) {
        match tree {
            syn::UseTree::Path(next) => {
                path.push(next.ident.to_string());
                self.tree(&next.tree, path);
                path.pop();
            }
            syn::UseTree::Group(group) => group.items.iter().for_each(|item| self.tree(item, path)),
            syn::UseTree::Glob(_) => self.note(path),
            syn::UseTree::Name(syn::UseName { ident, .. })
            | syn::UseTree::Rename(syn::UseRename { ident, .. }) => {
                if ident == "self" {
                    self.note(path);
                } else {
                    path.push(ident.to_string());
                    self.note(path);
                    path.pop();
                }
            }
        }
    }

    /// Paths among the tokens of a macro, which the parser does not look into.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match &token {
                TokenTree::Ident(name) => {
                    if colons != 2 {
                        self.macro_path(&path);
                        path.clear();
                    }
                    path.push(name.to_string());
                    colons = 0;
                }
                TokenTree::Punct(p) if p.as_char() == ':' && !path.is_empty() => colons += 1,
                _ => {
                    self.macro_path(&path);
                    path.clear();
                    colons = 0;
                }
            }
            if let TokenTree::Group(group) = token {
                self.tokens(group.stream());
            }
        }
        self.macro_path(&path);
    }

    fn macro_path(&mut self, path: &[String]) {
        if path.len() > 1 {
            self.note(path);
        }
    }

    fn function(&mut self, name: &syn::Ident, body: &syn::Block) {
        let code = body.stmts.iter().map(quote::ToTokens::to_token_stream).collect();
        self.source.functions.push(Function { name: name.to_string(), lines: lines_of(code).len() });
    }
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast syn::Item) {
        if for_tests(attributes(item)) {
            let span = item.span();
            self.tests.extend(span.start().line..=span.end().line);
        } else {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.scope.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.scope.pop();
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&item.tree, &mut Vec::new());
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.function(&item.sig.ident, &item.block);
        visit::visit_item_fn(self, item);
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        if for_tests(&item.attrs) {
            let span = item.span();
            self.tests.extend(span.start().line..=span.end().line);
        } else {
            self.function(&item.sig.ident, &item.block);
            visit::visit_impl_item_fn(self, item);
        }
    }

    /// `pub(super)` uses nothing.
    fn visit_vis_restricted(&mut self, _: &'ast syn::VisRestricted) {}

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let names: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        if names.len() > 1 {
            self.note(&names);
        }
        visit::visit_path(self, path);
    }

    fn visit_path_segment(&mut self, segment: &'ast syn::PathSegment) {
        if segment.ident == "Result" && error_is_text(&segment.arguments) {
            self.source.text_errors.push(segment.ident.span().start().line);
        }
        visit::visit_path_segment(self, segment);
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.tokens(call.tokens.clone());
        visit::visit_macro(self, call);
    }
}

/// Whether the second type between the brackets is a text: `String`, `&str`, `Box<str>`, `Cow<str>`.
fn error_is_text(arguments: &syn::PathArguments) -> bool {
    let syn::PathArguments::AngleBracketed(given) = arguments else { return false };
    let Some(syn::GenericArgument::Type(error)) = given.args.iter().nth(1) else { return false };
    let mut words = Words::default();
    words.visit_type(error);
    let words: Vec<&str> = words.0.iter().map(String::as_str).collect();
    matches!(words[..], ["String" | "str"] | ["Box" | "Rc" | "Arc" | "Cow", "str"])
}

/// The last names of the paths in a type.
#[derive(Default)]
struct Words(Vec<String>);

impl<'ast> Visit<'ast> for Words {
    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.0.extend(path.segments.last().map(|last| last.ident.to_string()));
        visit::visit_path(self, path);
    }
}

fn attributes(item: &syn::Item) -> &[syn::Attribute] {
    match item {
        syn::Item::Const(i) => &i.attrs,
        syn::Item::Enum(i) => &i.attrs,
        syn::Item::Fn(i) => &i.attrs,
        syn::Item::Impl(i) => &i.attrs,
        syn::Item::Macro(i) => &i.attrs,
        syn::Item::Mod(i) => &i.attrs,
        syn::Item::Static(i) => &i.attrs,
        syn::Item::Struct(i) => &i.attrs,
        syn::Item::Trait(i) => &i.attrs,
        syn::Item::Type(i) => &i.attrs,
        syn::Item::Use(i) => &i.attrs,
        _ => &[],
    }
}
