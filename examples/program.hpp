// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdio>
#include <exception>
#include <stdexcept>
#include <string>
#include <string_view>

#include <CLI/CLI.hpp>

#include <lodewire/quantity/text_error.hpp>

/// The way from a command line to an answer.
namespace examples {

/// Standard output is full or closed.
class not_written : public std::runtime_error {
public:
  not_written() : std::runtime_error("the answer could not be written") {}
};

/// Prints all of it. Throws `not_written`.
inline void print(std::string_view text) {
  if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
    throw not_written();
}

/// Reads the command line and calls `work`. Gives what the program ends with: 0 for an answer or help, 1 if the answer
/// could not be written, 2 for anything wrong in what was asked.
template <class Work>
[[nodiscard]] int run_program(CLI::App& app, int count, char** arguments, Work work) {
  const std::string path(count > 0 ? arguments[0] : "example"), name = path.substr(path.rfind('/') + 1);
  const auto complain = [&](const std::exception& error) {
    std::fprintf(stderr, "%s: %s\n", name.c_str(), error.what());
  };
  app.name(name);
  try {
    app.parse(count, arguments);
    // An empty value would else pass for one that was not given.
    for (const CLI::Option* option : app.get_options())
      for (const std::string& value : option->results())
        if (value.empty())
          throw lodewire::text_error(option->get_name(), value, 1, "a value, not an empty text");
    work();
    return 0;
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : 2;
  } catch (const not_written& error) {
    complain(error);
    return 1;
  } catch (const std::exception& error) {
    complain(error);
    return 2;
  }
}

} // namespace examples
