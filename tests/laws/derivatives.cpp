// SPDX-License-Identifier: BSL-1.0
// Derivatives with respect to values: of every model, and of each source behind each stage.
#include "laws_of_derivatives.hpp"

using namespace laws;

TEST_CASE("every model, every source behind every stage") {
  constexpr struct {
    const char* name;
    void (*test)(verdict&, const drawn&);
  } all[] = {
      {"Euler", &euler}, {"fractions", &fractions}, {"reciprocity of a source", &reciprocity_of_a_source}};
  const draw now(0);
  for (const auto& law : all) {
    verdict v(law.name);
    for (const auto& models : {now.joinable(), now.behind_stages()})
      for (const drawn& a : models) {
        v.about(a.name);
        law.test(v, a);
      }
    v.report();
  }
}
TEST_CASE("reciprocity of two sources, in series and in parallel") {
  verdict v("reciprocity of two sources");
  const draw first(0), second(1);
  for (const drawn& a : first.sources)
    for (const drawn& b : second.sources)
      for (const circuit& c : {in_line(a.what, b.what), side_by_side(a.what, b.what)}) {
        const facts known{.reciprocal = a.known.reciprocal && b.known.reciprocal};
        v.about(a.name + " with " + b.name);
        reciprocity_of_a_source(v, {"", known, c});
      }
  v.report();
}
