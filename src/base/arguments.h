// SPDX-License-Identifier: Apache-2.0
//
// Splits a command's words into options and the rest, and refuses what the command does not know.
//
//   auto arguments = read_arguments(words, {{"--at", true}, {"--json", false}}, 1, 1);
//   if (!arguments) return refused(arguments.error());
//   if (arguments->has("--json")) …
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "base/result.h"
#include "cli/command.h"

namespace nthtree::cli {

struct OptionName {
  const char* name;
  bool takes_value;
};

struct Arguments {
  std::map<std::string, std::string> options;
  std::vector<std::string> rest;

  bool has(const char* name) const { return options.count(name) > 0; }
  // The option's value; `otherwise` where it was not given.
  std::string value(const char* name, const std::string& otherwise = "") const;
};

// "--at=TIME" and "--at TIME" are the same; "--" ends the options; "-" is a word (standard input).
// Errors: unknown_option, doubled_option, missing_value, missing_argument, extra_argument.
base::Result<Arguments> read_arguments(const Words& words, const std::vector<OptionName>& known,
                                       std::size_t rest_min, std::size_t rest_max);

// A number from outside, such as an option's value or a cell of a table; errors name `where`.
// Errors: not_a_number, out_of_range.
base::Result<double> read_number(const std::string& text, double low, double high,
                                 const std::string& where);

}  // namespace nthtree::cli
