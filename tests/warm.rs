#[test] fn a() {}
