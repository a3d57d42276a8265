// SPDX-License-Identifier: Apache-2.0
//
// The command line: the same engine as the app, on files.
#include <cstdio>
#include <cstring>
#include <string>

#include "cli/command.h"

namespace {

using namespace nthtree::cli;

constexpr const char* version = "0.1.0";

const Command commands[] = {
    {"target", "from a block's goal to the spurs to leave on a tree", target_help, target_command},
    {"replay", "a season's standings and verdicts, at any time of it", replay_help, replay_command},
    {"explain", "one block's whole reasoning, to check with a pencil", explain_help,
     explain_command},
    {"evening", "where to go back, and who goes where tomorrow", evening_help, evening_command},
    {"verify", "checks ledger files", verify_help, verify_command},
    {"export", "a season as CSV or JSON lines", export_help, export_command},
    {"import", "records or counts on paper into a ledger folder", import_help, import_command},
    {"varieties", "what is usual for each variety, with its source", varieties_help,
     varieties_command},
    {"trial", "what each stride would have said where every tree is known", trial_help,
     trial_command},
};

std::string overview() {
  std::string text =
      "usage: nthtree COMMAND …\n"
      "From a few counted trees: prune harder or lighter, and how sure that is.\n\n";
  for (const Command& command : commands) {
    text += std::string("  ") + command.name + std::string(11 - std::strlen(command.name), ' ') +
            command.line + "\n";
  }
  return text +
         "\n  nthtree COMMAND --help    its options and an example\n"
         "  nthtree --version\n\n"
         "Exit code 0: done. 2: not understood, or not in order; nothing was changed and nothing\n"
         "is on standard output. Advice is decision support: the lead decides.\n";
}

int put(std::FILE* stream, const std::string& text) {
  const bool good = std::fwrite(text.data(), 1, text.size(), stream) == text.size() &&
                    std::fflush(stream) == 0;
  return good ? 0 : 1;
}

// A message may quote what it refuses, which may be a megabyte: cut, never inside a character.
std::string clipped(std::string line) {
  constexpr std::size_t line_bytes_max = 1000;
  if (line.size() <= line_bytes_max) return line;
  std::size_t cut = line_bytes_max;
  while (cut > 0 && (static_cast<unsigned char>(line[cut]) & 0xc0) == 0x80) --cut;
  return line.substr(0, cut) + "…";
}

int run(const Command& command, const Words& words) {
  for (const std::string& word : words) {
    if (word == "--") break;
    if (word == "--help" || word == "-h") return put(stdout, command.help);
  }
  const Outcome outcome = command.run(words);
  std::size_t from = 0;
  while (from < outcome.err.size()) {
    const std::size_t end = outcome.err.find('\n', from);
    put(stderr, std::string("nthtree ") + command.name + ": " +
                    clipped(outcome.err.substr(from, end - from)) + "\n");
    if (end == std::string::npos) break;
    from = end + 1;
  }
  if (put(stdout, outcome.out) != 0) {
    put(stderr, std::string("nthtree ") + command.name + ": standard output cannot be written\n");
    return exit_failed;
  }
  return outcome.exit_code;
}

}  // namespace

int main(int count, char** values) {
  if (count < 2) {
    put(stderr, overview());
    return exit_bad_input;
  }
  const std::string name = values[1];
  if (name == "--help" || name == "-h" || name == "help") return put(stdout, overview());
  if (name == "--version") return put(stdout, std::string("nthtree ") + version + "\n");
  for (const Command& command : commands) {
    if (name == command.name) return run(command, Words(values + 2, values + count));
  }
  std::string allowed;
  for (const Command& command : commands) {
    allowed += std::string(allowed.empty() ? "" : ", ") + command.name;
  }
  put(stderr, "nthtree: " + name + " is not a command: allowed are " + allowed +
                  "; see nthtree --help\n");
  return exit_bad_input;
}
