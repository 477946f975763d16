// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/notation.hpp>

/// What a value has to be, and the error that says so.
namespace lodewire {

/// Thrown for a value that is no value. The text names the parameter, the value with its unit and what is allowed:
/// `potentiometer.total is -250 kΩ; allowed: more than 0 Ω`.
class invalid_value : public std::invalid_argument {
public:
  [[gnu::noinline]] invalid_value(std::string_view parameter, std::string_view value,
                                  std::string_view allowed)
      : std::invalid_argument(
            std::string(parameter).append(" is ").append(value).append("; allowed: ").append(allowed)),
        parameter_{parameter} {}

  /// The name of the parameter at fault, as the text has it.
  [[nodiscard]] const std::string& parameter() const noexcept { return parameter_; }

private:
  std::string parameter_;
};

/// The name of a parameter: `cable.length`, or owner and member apart, joined only when there is something to say.
struct parameter_name {
  std::string_view owner;
  std::string_view member;

  constexpr explicit(false) parameter_name(const char* whole) : member(whole) {}
  constexpr explicit(false) parameter_name(std::string_view whole) : member(whole) {}
  explicit(false) parameter_name(const std::string& whole) : member(whole) {}
  constexpr parameter_name(std::string_view of, std::string_view part) : owner(of), member(part) {}

  [[nodiscard]] std::string text() const {
    std::string s(owner);
    if (!owner.empty()) s += '.';
    return s.append(member);
  }
};

namespace detail {

enum class bound : unsigned char { positive, not_negative, finite, within };

/// The one place that puts an error together; out of line, so that a check costs a comparison where it stands.
[[noreturn, gnu::cold, gnu::noinline]] inline void refuse(const parameter_name& name, double value,
                                                          std::string_view unit, bound allowed,
                                                          double low = 0, double high = 0) {
  const auto shown = [unit](double x) { return unit.empty() ? plain_number(x) : engineering(x, unit, 6); };
  std::string range = "any finite value";
  if (allowed == bound::positive) range = "more than " + shown(0);
  if (allowed == bound::not_negative) range = shown(0) + " or more";
  if (allowed == bound::within) range = shown(low) + " to " + shown(high);
  throw invalid_value(name.text(), shown(value), range);
}

/// Value and unit of a quantity or of a plain number.
template <class Unit>
[[nodiscard]] constexpr double bare(const boost::units::quantity<Unit>& q) {
  return q.value();
}
[[nodiscard]] constexpr double bare(double x) { return x; }
template <class Unit>
[[nodiscard]] constexpr std::string_view unit_of(const boost::units::quantity<Unit>&) {
  return unit_symbol<Unit>;
}
[[nodiscard]] constexpr std::string_view unit_of(double) { return {}; }

} // namespace detail

/// The value, if it is finite and more than zero. Throws `invalid_value`. Q: a quantity or a double.
template <class Q>
constexpr Q require_positive(const parameter_name& name, Q value) {
  const double v = detail::bare(value);
  if (!is_finite(v) || !(v > 0)) detail::refuse(name, v, detail::unit_of(value), detail::bound::positive);
  return value;
}

/// The value, if it is finite and zero or more. Throws `invalid_value`.
template <class Q>
constexpr Q require_not_negative(const parameter_name& name, Q value) {
  const double v = detail::bare(value);
  if (!is_finite(v) || !(v >= 0))
    detail::refuse(name, v, detail::unit_of(value), detail::bound::not_negative);
  return value;
}

/// The value, if it is neither NaN nor infinite. Throws `invalid_value`.
template <class Q>
constexpr Q require_finite(const parameter_name& name, Q value) {
  const double v = detail::bare(value);
  if (!is_finite(v)) detail::refuse(name, v, detail::unit_of(value), detail::bound::finite);
  return value;
}

/// The value, if it lies in [low, high]. Throws `invalid_value`.
template <class Q>
constexpr Q require_within(const parameter_name& name, Q value, Q low, Q high) {
  const double v = detail::bare(value);
  if (!is_finite(v) || !(v >= detail::bare(low)) || !(v <= detail::bare(high)))
    detail::refuse(name, v, detail::unit_of(value), detail::bound::within, detail::bare(low),
                   detail::bare(high));
  return value;
}

} // namespace lodewire
