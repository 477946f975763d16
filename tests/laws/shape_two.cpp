// SPDX-License-Identifier: BSL-1.0
// Degree, signs, roots and limits of every two one-ports and sources in series and in parallel.
#include "laws_of_shape.hpp"

using namespace laws;

TEST_CASE("every two") {
  const auto firsts = draw(0).joinable(), seconds = draw(1).joinable();
  verdict degree("degree of two");
  std::vector<verdict> other;
  for (const law_of_shape& law : shapes) other.emplace_back(std::string(law.name) + ", two");
  for (const drawn& a : firsts)
    for (const drawn& b : seconds) {
      if (!is_rational(a.what) || !is_rational(b.what)) continue;
      const std::string name = a.name + " with " + b.name;
      degree.about(name);
      if (is_of_parts(a.what) && is_of_parts(b.what)) degree_of_two(degree, a.what, b.what);
      for (const join with : {&in_line, &side_by_side}) {
        const facts known{.passive = a.known.passive && b.known.passive};
        const drawn both{name + (with == &in_line ? " in series" : " in parallel"), known,
                         with(a.what, b.what)};
        for (std::size_t k = 1; k < std::size(shapes); ++k) {
          other[k].about(both.name);
          shapes[k].test(other[k], both);
        }
      }
    }
  degree.report();
  for (std::size_t k = 1; k < std::size(shapes); ++k) other[k].report();
}
