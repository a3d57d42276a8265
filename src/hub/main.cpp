// SPDX-License-Identifier: Apache-2.0
//
// nthtree-hub: serves the app, keeps the farm's records, and looks after its own file.
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "hub/commands.h"

namespace {

constexpr const char* usage =
    R"(nthtree-hub --data FOLDER [--site FOLDER] [--listen ADDRESS:PORT]   serves until Ctrl-C
  --listen 127.0.0.1:8080     port 0 takes a free one; 0.0.0.0 is every network of this machine
  --site FOLDER               the app's files
  --scenario FOLDER           records for an empty store: every .jsonl file in it
  --join-code-minutes 10      how long a join code lives
  --behind-tls                a server in front speaks https (browsers are told to stay with it)
  --trust-proxy ADDRESS       of that server: whom it says it asks for is believed
  --role ROLE                 of the codes shown: pruner, lead or manager (the manager's first)
  --new-farm                  make an empty store where one is missing
nthtree-hub code --data FOLDER [--minutes 10] [--role pruner] [--person ID]
                                                  one more join code, while the hub runs or not
nthtree-hub keys --data FOLDER                    the phones that have joined
nthtree-hub withdraw NUMBER --data FOLDER         takes a phone's key; what it sent stays
nthtree-hub set-aside --data FOLDER               records that could not be read, and why
nthtree-hub verify --data FOLDER                  reads every record and its check sum
nthtree-hub backup FILE --data FOLDER             a checked copy, while the hub runs or not
nthtree-hub restore FILE --data FOLDER            puts a backup back; the hub must not run
)";

int wrong(const std::string& what) {
  std::fprintf(stderr, "nthtree-hub: %s\n%s", what.c_str(), usage);
  return 2;
}

bool number(const std::string& text, std::int64_t low, std::int64_t high, std::int64_t& value) {
  char* end = nullptr;
  value = std::strtoll(text.c_str(), &end, 10);
  return !text.empty() && *end == 0 && value >= low && value <= high;
}

}  // namespace

int main(int argc, char** argv) {
  nthtree::hub::Options options;
  std::string command = "serve";
  std::vector<std::string> words(argv + 1, argv + argc);
  std::size_t first = 0;
  if (!words.empty() && words[0].substr(0, 2) != "--") command = words[first++];
  for (std::size_t i = first; i < words.size(); ++i) {
    const std::string& word = words[i];
    if (word == "--help") return std::fputs(usage, stdout), 0;
    if (word == "--behind-tls" || word == "--new-farm") {
      (word == "--new-farm" ? options.new_farm : options.behind_tls) = true;
      continue;
    }
    if (word.substr(0, 2) != "--") {
      if (!options.argument.empty()) return wrong("one argument too many: " + word);
      options.argument = word;
      continue;
    }
    if (i + 1 == words.size()) return wrong(word + " needs a value");
    const std::string& value = words[++i];
    if (word == "--data") options.data = value;
    else if (word == "--site") options.site = value;
    else if (word == "--scenario") options.scenario = value;
    else if (word == "--trust-proxy") options.trusted_proxy = value;
    else if (word == "--person") options.person = value;
    else if (word == "--role") options.role = value;
    else if (word == "--listen") {
      const std::size_t colon = value.rfind(':');
      std::int64_t port = 0;
      if (colon == std::string::npos || !number(value.substr(colon + 1), 0, 65535, port)) {
        return wrong("--listen wants ADDRESS:PORT, not " + value);
      }
      options.host = value.substr(0, colon);
      options.port = static_cast<unsigned short>(port);
    } else if (word == "--join-code-minutes" || word == "--minutes") {
      if (!number(value, 1, 7 * 24 * 60, options.code_minutes)) {
        return wrong(word + " wants 1 to 10080, not " + value);
      }
    } else {
      return wrong("unknown option " + word);
    }
  }
  if (options.data.empty()) return wrong("--data is missing");
  const auto status = nthtree::hub::run_command(command, options);
  if (status) return 0;
  if (status.error().id == "usage") return wrong(status.error().what);
  std::fprintf(stderr, "nthtree-hub: %s\n", status.error().text().c_str());
  return 1;
}
