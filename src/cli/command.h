// SPDX-License-Identifier: Apache-2.0
//
// What a command of the command line is: a name, its help, and a function from arguments to an
// outcome. A command prints nothing itself, so that one that fails has said nothing on standard
// output.
//
//   Outcome outcome = target_command(arguments);
#pragma once

#include <string>
#include <vector>

#include "base/arguments.h"
#include "base/result.h"

namespace nthtree::cli {

inline constexpr int exit_good = 0;
inline constexpr int exit_failed = 1;  // the answer could not be written
inline constexpr int exit_bad_input = 2;

struct Outcome {
  int exit_code = exit_good;
  std::string out;  // for standard output
  std::string err;  // for standard error, lines without the "nthtree <command>: " before them
};

inline Outcome refused(const std::string& line) { return {exit_bad_input, "", line + "\n"}; }
inline Outcome refused(const base::Error& error) { return refused(error.text()); }

using base::Arguments;
using base::read_arguments;
using base::Words;

struct Command {
  const char* name;
  const char* line;  // one line for the overview
  const char* help;  // the whole page for --help
  Outcome (*run)(const Words& words);
};

Outcome target_command(const Words& words);
Outcome replay_command(const Words& words);
Outcome explain_command(const Words& words);
Outcome verify_command(const Words& words);
Outcome export_command(const Words& words);
Outcome import_command(const Words& words);
Outcome varieties_command(const Words& words);
Outcome trial_command(const Words& words);
Outcome evening_command(const Words& words);

extern const char* const target_help;
extern const char* const replay_help;
extern const char* const explain_help;
extern const char* const verify_help;
extern const char* const export_help;
extern const char* const import_help;
extern const char* const varieties_help;
extern const char* const trial_help;
extern const char* const evening_help;

}  // namespace nthtree::cli
