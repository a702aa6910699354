use cordwright::{
    date::Date, graph::ElementKind, input::SiteInput, judgement::Site, quantity::InUnits,
    survey::Survey,
};
fn walk(d: &std::path::Path, r: &std::path::Path, v: &mut Vec<(String, Vec<u8>)>) {
    for e in std::fs::read_dir(d).unwrap() {
        let p = e.unwrap().path();
        if p.is_dir() {
            walk(&p, r, v)
        } else if p.extension().is_some_and(|x| x == "yaml") {
            v.push((
                p.strip_prefix(r).unwrap().to_string_lossy().into(),
                std::fs::read(&p).unwrap(),
            ))
        }
    }
}
fn main() {
    let r = std::path::Path::new("example-repo");
    let mut v = vec![];
    walk(r, r, &mut v);
    v.sort();
    let s = Site::read(SiteInput {
        files: v,
        unread: vec![],
    });
    let y = Survey {
        model: &s.model,
        graph: &s.graph,
        flows: &s.flows,
        today: Date::new(2026, 11, 25).unwrap(),
    };
    for (id, e) in s.graph.elements() {
        if matches!(e.kind, ElementKind::Cord(_) | ElementKind::Leg(..)) {
            continue;
        }
        if let ElementKind::Supply(x) = e.kind {
            println!(
                "{} {:.1} kVA",
                y.full_name(id),
                s.flows.worst_power(x).0.in_volt_amperes() / 1e3
            );
            continue;
        }
        let n = s
            .flows
            .normal(&s.graph, id)
            .map(|w| w.current.in_amperes())
            .unwrap_or(0.);
        let w: Vec<String> = s
            .graph
            .poles(id)
            .filter_map(|p| {
                s.flows
                    .worst_on(&s.graph, id, p)
                    .map(|w| format!("{}={:.2}", p.word(), w.current.in_amperes()))
            })
            .collect();
        println!(
            "  {} normal {:.2} worst {}",
            y.full_name(id),
            n,
            w.join(" ")
        );
    }
}
