// SPDX-License-Identifier: BSL-1.0
// Degree, signs, roots and limits of every model, and of each source behind each stage.
#include "laws_of_shape.hpp"

using namespace laws;

TEST_CASE("every model, every source behind every stage") {
  for (const law_of_shape& law : shapes) {
    verdict v(law.name);
    for (std::uint64_t n = 0; n < 3; ++n) {
      const draw now(n);
      for (const auto& models : {now.joinable(), now.behind_stages()})
        for (const drawn& a : models) {
          if (!is_rational(a.what)) continue;
          v.about(a.name);
          law.test(v, a);
        }
    }
    v.report();
  }
}
TEST_CASE("stages behind a resistance") {
  verdict v("degree of a stage");
  for (std::uint64_t n = 0; n < 3; ++n)
    for (const drawn_stage& st : draw(n).stages) {
      v.about(st.name);
      const circuit driven =
          behind(emf_behind(one_port(resistance::from_value(6.4e3)).as_circuit()), st.what);
      if (is_rational(driven)) degree_of_a_model(v, {st.name, st.known, driven});
    }
  v.report();
}
TEST_CASE("twins") {
  verdict v("equal sources in parallel");
  const draw now(0), other(1);
  for (std::size_t i = 0; i < now.sources.size(); ++i) {
    v.about(now.sources[i].name);
    twins(v, now.sources[i], other.sources[i]);
  }
  v.report();
}
