// SPDX-License-Identifier: Apache-2.0
#include "base/arguments.h"

#include <algorithm>
#include <cmath>

#include "base/json_text.h"
#include "base/text.h"

namespace nthtree::base {

std::string Arguments::value(const std::string& name, const std::string& otherwise) const {
  const auto found = options.find(name);
  return found == options.end() ? otherwise : found->second;
}

Result<std::int64_t> Arguments::whole(std::size_t place, std::int64_t low, std::int64_t high,
                                      std::int64_t otherwise, const std::string& where) const {
  if (place >= rest.size()) return otherwise;
  return read_whole(rest[place], low, high, where);
}

namespace {

Status take_option(const Words& words, std::size_t& i, const std::vector<OptionName>& known,
                         Arguments& arguments) {
  const std::string& word = words[i];
  const std::size_t equals = word.find('=');
  const std::string name = word.substr(0, equals);
  const auto found = std::find_if(known.begin(), known.end(),
                                  [&](const OptionName& option) { return name == option.name; });
  if (found == known.end()) {
    std::string allowed;
    for (const OptionName& option : known) {
      if (option.name != "--help") allowed += option.name + ", ";
    }
    return Error{"unknown_option", "is not known: allowed are " + allowed + "--help", name};
  }
  if (arguments.has(found->name)) return Error{"doubled_option", "stands twice", name};
  std::string value;
  if (found->takes_value) {
    if (equals != std::string::npos) {
      value = word.substr(equals + 1);
    } else if (i + 1 < words.size()) {
      value = words[++i];
    }
    if (value.empty()) return Error{"missing_value", "needs a value", name};
  } else if (equals != std::string::npos) {
    return Error{"extra_value", "takes no value", name};
  }
  arguments.options[found->name] = value;
  return Ok{};
}

}  // namespace

Result<Arguments> read_arguments(const Words& words, const std::vector<OptionName>& known,
                                       std::size_t rest_min, std::size_t rest_max) {
  Arguments arguments;
  bool options_over = false;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string& word = words[i];
    if (options_over || word.size() < 2 || word[0] != '-') {
      arguments.rest.push_back(word);
    } else if (word == "--") {
      options_over = true;
    } else if (const auto taken = take_option(words, i, known, arguments); !taken) {
      return taken.error();
    }
  }
  if (arguments.rest.size() < rest_min) {
    return Error{"missing_argument", "something is missing: see --help", ""};
  }
  if (arguments.rest.size() > rest_max) {
    return Error{"extra_argument", "is one argument too many: see --help",
                 arguments.rest[rest_max]};
  }
  return arguments;
}

Result<double> read_number(const std::string& text, double low, double high,
                                 const std::string& where) {
  const auto parsed = parse_json(text, {.bytes_max = 32, .depth_max = 0});
  if (!parsed || !parsed->is_number()) {
    return Error{"not_a_number", "\"" + text.substr(0, 40) + "\" is not a number", where};
  }
  const double value = parsed->get<double>();
  if (value >= low && value <= high) return value;
  return Error{"out_of_range", shortest(value) + " is out of range: " + shortest(low) +
               " to " + shortest(high) + " is allowed", where};
}

Result<std::int64_t> read_whole(const std::string& text, std::int64_t low, std::int64_t high,
                                const std::string& where) {
  const auto number =
      read_number(text, static_cast<double>(low), static_cast<double>(high), where);
  if (!number) return number.error();
  if (std::floor(*number) == *number) return static_cast<std::int64_t>(*number);
  return Error{"not_whole", shortest(*number) + " is not a whole number", where};
}

}  // namespace nthtree::base
