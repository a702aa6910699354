//! The scripts that get the program and hand the findings on, with a runner and tools that only note
//! what they are asked for.

use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

use super::{folder, root};
use crate::world::World;

struct Ran {
    code: Option<i32>,
    log: String,
    program: Option<String>,
}

/// A machine: the checked repository, the runner's folder, and tools that stand first on the path.
struct Machine(World);

impl Machine {
    fn new() -> Self {
        let world = World::with(&[
            (
                "workspace/rust-toolchain.toml",
                "[toolchain]\npath = \"evil\"\n",
            ),
            (
                "workspace/.cargo/config.toml",
                "[build]\nrustc-wrapper = \"evil\"\n",
            ),
            ("temp/none", ""),
            ("home/none", ""),
        ]);
        Self(world)
    }

    fn at(&self, path: &str) -> PathBuf {
        self.0.at(path)
    }

    fn tool(&self, path: &str, script: &str) {
        self.0.put(path, &format!("#!/bin/sh\n{script}\n"));
        let mode = std::fs::Permissions::from_mode(0o755);
        std::fs::set_permissions(self.at(path), mode).unwrap();
    }

    /// A cargo that notes where it runs and with what, and installs a program.
    fn with_cargo(self, at: &str) -> Self {
        self.tool(
            &format!("{at}/cargo"),
            r#"{ pwd; echo "$@"; echo "home=$CARGO_HOME"; echo "target=$CARGO_TARGET_DIR"; } >> "$RUNNER_TEMP/asked"
for root; do :; done
mkdir -p "$root/bin"; echo true > "$root/bin/cordwright"; chmod +x "$root/bin/cordwright""#,
        );
        self
    }

    fn run(&self, script: &str, settings: &[(&str, &str)]) -> Ran {
        std::fs::write(self.at("outputs"), "").unwrap();
        let tools = self.at("tools");
        let path = format!("{}:/usr/bin:/bin", tools.display());
        let output = std::process::Command::new("/bin/bash")
            .arg(folder().join(script))
            .current_dir(self.at("workspace"))
            .env_clear()
            .env("PATH", path)
            .env("HOME", self.at("home"))
            .env("RUNNER_TEMP", self.at("temp"))
            .env("GITHUB_WORKSPACE", self.at("workspace"))
            .env("GITHUB_OUTPUT", self.at("outputs"))
            .env("GITHUB_ACTION_PATH", folder())
            .envs([("PROGRAM", ""), ("RELEASE", ""), ("CHECKSUM", "")])
            .envs([("FROM", "https://git.example/us/cordwright")])
            .envs(settings.iter().copied())
            .output()
            .unwrap();
        let outputs = std::fs::read_to_string(self.at("outputs")).unwrap();
        let program = outputs
            .lines()
            .find_map(|line| line.strip_prefix("program="));
        Ran {
            code: output.status.code(),
            log: String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned(),
            program: program.map(str::to_owned),
        }
    }

    /// What the tools were asked for.
    fn asked(&self) -> String {
        std::fs::read_to_string(self.at("temp/asked")).unwrap_or_default()
    }
}

#[test]
fn it_is_built_where_no_file_of_the_checked_repository_counts() {
    let machine = Machine::new().with_cargo("tools");
    let ran = machine.run("get", &[]);
    assert_eq!(ran.code, Some(0), "{}", ran.log);
    let asked = machine.asked();
    let lines: Vec<&str> = asked.lines().collect();
    assert_eq!(Path::new(lines[0]), root().canonicalize().unwrap());
    assert!(
        lines[1].starts_with("install --locked --path . --root "),
        "{asked}"
    );
    let temp = machine.at("temp").canonicalize().unwrap();
    let target = Path::new(lines[3].strip_prefix("target=").unwrap()).to_owned();
    assert!(
        target.starts_with(machine.at("temp")) || target.starts_with(temp),
        "{asked}"
    );
    let program = PathBuf::from(ran.program.unwrap());
    assert!(program.starts_with(machine.at("temp")) && program.is_file());
    // A second use in the job takes what is built.
    let again = machine.run("get", &[]);
    assert_eq!(again.program.map(PathBuf::from), Some(program));
    assert_eq!(machine.asked(), asked);
}

#[test]
fn homes_of_cargo_and_rustup_in_the_checked_repository_are_not_obeyed() {
    let machine = Machine::new().with_cargo("tools");
    let inside = machine.at("workspace/.cargo").display().to_string();
    let ran = machine.run("get", &[("CARGO_HOME", &inside)]);
    assert_eq!(ran.code, Some(0), "{}", ran.log);
    assert!(!machine.asked().contains(&inside), "{}", machine.asked());

    let machine = Machine::new().with_cargo("tools");
    let outside = machine.at("home").display().to_string();
    machine.run("get", &[("CARGO_HOME", &outside)]);
    assert!(machine.asked().contains(&format!("home={outside}\n")));

    let machine = Machine::new().with_cargo("tools");
    let inside = machine.at("workspace/.cargo").display().to_string();
    let ran = machine.run("get", &[("RUSTUP_HOME", &inside)]);
    assert_eq!(
        (ran.code, machine.asked().as_str()),
        (Some(2), ""),
        "{}",
        ran.log
    );

    let machine = Machine::new().with_cargo("workspace/bin");
    let path = format!("{}:/usr/bin:/bin", machine.at("workspace/bin").display());
    let ran = machine.run("get", &[("PATH", &path)]);
    assert_eq!(
        (ran.code, machine.asked().as_str()),
        (Some(2), ""),
        "{}",
        ran.log
    );
}

#[test]
fn a_program_that_is_named_is_taken_and_one_that_is_not_there_is_told() {
    let machine = Machine::new().with_cargo("tools");
    machine.tool("tools/cordwright", "true");
    let ran = machine.run("get", &[("PROGRAM", "cordwright")]);
    let expected = machine.at("tools/cordwright").display().to_string();
    assert_eq!((ran.code, ran.program), (Some(0), Some(expected)));
    let ran = machine.run("get", &[("PROGRAM", "cordwrong")]);
    assert_eq!((ran.code, ran.program), (Some(2), None));
    assert!(
        ran.log.contains("there is no program cordwrong"),
        "{}",
        ran.log
    );
    assert_eq!(machine.asked(), "", "nothing is built in its place");
}

/// A release as the workflow packs it, at the place where a fake curl finds it; its checksum.
fn released(machine: &Machine) -> String {
    let system = format!("{}-unknown-linux-musl", std::env::consts::ARCH);
    let name = format!("cordwright-9.8.7-{system}");
    machine.tool(&format!("packed/{name}/cordwright"), "true");
    let script = format!(
        "cd '{}' && tar -czf release.tar.gz '{name}' && sha256sum release.tar.gz",
        machine.at("packed").display()
    );
    let packed = std::process::Command::new("bash")
        .args(["-c", &script])
        .output()
        .unwrap();
    machine.tool(
        "tools/curl",
        &format!(
            r#"while [ $# -gt 0 ]; do case "$1" in --output) to="$2"; shift ;; https:*) echo "$1" >> "$RUNNER_TEMP/asked" ;; esac; shift; done
cp '{}' "$to""#,
            machine.at("packed/release.tar.gz").display()
        ),
    );
    String::from_utf8(packed.stdout).unwrap()[..64].to_owned()
}

#[cfg(target_os = "linux")]
#[test]
fn a_release_is_taken_by_its_checksum_and_by_nothing_less() {
    let machine = Machine::new();
    let checksum = released(&machine);
    let ran = machine.run("get", &[("RELEASE", "9.8.7"), ("CHECKSUM", &checksum)]);
    assert_eq!(ran.code, Some(0), "{}", ran.log);
    assert!(Path::new(&ran.program.unwrap()).is_file());
    let wanted = "https://git.example/us/cordwright/releases/download/v9.8.7/cordwright-9.8.7-";
    assert!(machine.asked().starts_with(wanted), "{}", machine.asked());
    let upper = checksum.to_uppercase();
    let ran = machine.run("get", &[("RELEASE", "9.8.7"), ("CHECKSUM", &upper)]);
    assert_eq!(ran.code, Some(0), "{}", ran.log);

    let other = "0".repeat(64);
    for (release, checksum, why) in [
        ("9.8.7", "", "needs checksum"),
        ("9.8.7", "abc", "needs checksum"),
        ("9.8.7", other.as_str(), "has the checksum"),
        ("../9.8.7", checksum.as_str(), "is a version"),
        ("latest", checksum.as_str(), "is a version"),
    ] {
        let ran = machine.run("get", &[("RELEASE", release), ("CHECKSUM", checksum)]);
        assert_eq!((ran.code, ran.program), (Some(2), None), "{release}");
        assert!(ran.log.contains(why), "{}", ran.log);
    }
}

#[test]
fn what_is_fetched_is_what_the_release_packs() {
    let get = std::fs::read_to_string(folder().join("get")).unwrap();
    let path = root().join(".github/workflows/release.yml");
    let workflow: serde_json::Value =
        serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let built = workflow["jobs"]["build"]["strategy"]["matrix"]["include"]
        .as_array()
        .unwrap();
    let systems = regex::Regex::new("system=([a-z0-9_-]+)").unwrap();
    let mut fetched: Vec<&str> = systems
        .captures_iter(&get)
        .map(|found| found.get(1).unwrap().as_str())
        .collect();
    let mut packed: Vec<&str> = built
        .iter()
        .map(|one| one["system"].as_str().unwrap())
        .collect();
    fetched.sort_unstable();
    packed.sort_unstable();
    assert_eq!(fetched, packed);
}

#[cfg(target_os = "linux")]
#[test]
fn a_release_is_packed_with_its_checksum_and_only_if_it_is_static() {
    let world = World::with(&[
        ("LICENSE", ""),
        ("README.md", ""),
        (
            "target/x86_64-unknown-linux-musl/release/cordwright",
            "a script needs no library\n",
        ),
    ]);
    let pack = std::fs::read_to_string(root().join(".github/release/pack")).unwrap();
    world.put(".github/release/pack", &pack);
    world.put("tools/readelf", "#!/bin/sh\ncat \"$READ\"\n");
    let mode = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(world.at("tools/readelf"), mode).unwrap();
    let run = |headers: &str| {
        world.put("headers", headers);
        let output = std::process::Command::new("bash")
            .arg(world.at(".github/release/pack"))
            .args(["x86_64-unknown-linux-musl", "9.8.7"])
            .env(
                "PATH",
                format!("{}:/usr/bin:/bin", world.at("tools").display()),
            )
            .env("READ", world.at("headers"))
            .output()
            .unwrap();
        output.status.code()
    };
    assert_eq!(run("  LOAD\n"), Some(0));
    let name = "cordwright-9.8.7-x86_64-unknown-linux-musl.tar.gz";
    let sum = std::fs::read_to_string(world.at("target/packed").join(format!("{name}.sha256")));
    assert!(sum.unwrap().trim_end().ends_with(name));
    let listed = std::process::Command::new("tar")
        .arg("-tzf")
        .arg(world.at("target/packed").join(name))
        .output()
        .unwrap();
    let listed = String::from_utf8(listed.stdout).unwrap();
    for file in ["/cordwright", "/LICENSE", "/README.md"] {
        assert!(listed.lines().any(|line| line.ends_with(file)), "{listed}");
    }
    std::fs::remove_dir_all(world.at("target/packed")).unwrap();
    assert_eq!(run("  INTERP\n  LOAD\n"), Some(1));
    assert!(!world.at("target/packed").exists());
}

#[test]
fn the_findings_are_handed_on_packed_and_for_this_commit() {
    let machine = Machine::new();
    machine.tool(
        "tools/gh",
        r#"for word; do echo "$word" >> "$RUNNER_TEMP/asked"; done
for word; do case "$word" in sarif=@*) cat "${word#sarif=@}" > "$RUNNER_TEMP/handed" ;; esac; done"#,
    );
    let sarif = "{\"version\": \"2.1.0\", \"words\": \"é\"}\n".repeat(300);
    machine.0.put("temp/report.sarif", &sarif);
    let file = machine.at("temp/report.sarif").display().to_string();
    let ran = machine.run(
        "upload",
        &[
            ("SARIF", &file),
            ("GITHUB_SERVER_URL", "https://git.example"),
            ("GITHUB_REPOSITORY", "us/site"),
            ("GITHUB_SHA", "0123abc"),
            ("GITHUB_REF", "refs/pull/7/merge"),
        ],
    );
    assert_eq!(ran.code, Some(0), "{}", ran.log);
    let asked = machine.asked();
    for word in [
        "git.example",
        "/repos/us/site/code-scanning/sarifs",
        "commit_sha=0123abc",
        "ref=refs/pull/7/merge",
    ] {
        assert!(asked.lines().any(|line| line == word), "{word}\nin {asked}");
    }
    let handed = std::fs::read_to_string(machine.at("temp/handed")).unwrap();
    assert!(!handed.contains('\n'));
    let unpacked = std::process::Command::new("bash")
        .args(["-c", "base64 -d \"$1\" | gzip -dc", "unpack"])
        .arg(machine.at("temp/handed"))
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(unpacked.stdout).unwrap(), sarif);
}
