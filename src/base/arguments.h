// SPDX-License-Identifier: Apache-2.0
//
// The words of a command line as options and the rest; refuses what the program does not know.
// Not here: what a value means, environment and files of settings (hub/options.h).
//
//   auto arguments = read_arguments(words, {{"--at", true}, {"--json", false}}, 1, 1);
//   if (!arguments) return refused(arguments.error());
//   if (arguments->has("--json")) …
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "base/result.h"

namespace nthtree::base {

using Words = std::vector<std::string>;

struct OptionName {
  std::string name;  // with its dashes
  bool takes_value = false;
};

struct Arguments {
  std::map<std::string, std::string> options;
  std::vector<std::string> rest;

  bool has(const std::string& name) const { return options.count(name) > 0; }
  // The option's value; `otherwise` where it was not given.
  std::string value(const std::string& name, const std::string& otherwise = "") const;
  // The word of `rest` at that place as a whole number; `otherwise` where there are fewer words.
  // Errors: those of read_whole.
  Result<std::int64_t> whole(std::size_t place, std::int64_t low, std::int64_t high,
                             std::int64_t otherwise, const std::string& where) const;
};

// "--at=TIME" and "--at TIME" are the same; "--" ends the options; "-" is a word (standard input).
// Errors: unknown_option, doubled_option, missing_value, extra_value, missing_argument,
// extra_argument.
Result<Arguments> read_arguments(const Words& words, const std::vector<OptionName>& known,
                                 std::size_t rest_min, std::size_t rest_max);

// A number from outside, such as an option's value or a cell of a table; errors name `where`.
// Errors: not_a_number, out_of_range.
Result<double> read_number(const std::string& text, double low, double high,
                           const std::string& where);
// The same of a whole number; |low| and |high| up to 2^53. Further error: not_whole.
Result<std::int64_t> read_whole(const std::string& text, std::int64_t low, std::int64_t high,
                                const std::string& where);

}  // namespace nthtree::base
