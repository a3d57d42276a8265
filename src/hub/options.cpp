// SPDX-License-Identifier: Apache-2.0
#include "hub/options.h"

#include <algorithm>
#include <fstream>

#include "base/arguments.h"
#include "hub/http.h"
#include "hub/store_postgresql.h"

namespace nthtree::hub {

const char* const usage_text =
    R"(nthtree-hub --data FOLDER [--site FOLDER] [--listen ADDRESS:PORT]   serves until Ctrl-C
  --listen 127.0.0.1:8080     port 0 takes a free one; 0.0.0.0 is every network of this machine
  --site FOLDER               the app's files
  --store ADDRESS             keep the records in PostgreSQL, postgresql://NAME@HOST/DATABASE,
                              instead of a file in --data; the password in PGPASSFILE or --config
  --farm NAME                 whose rows there (farm); --new-farm begins one
  --farms NAME=HOST[,…]       many farms in one process, each under a name of its own in addresses
  --scenario FOLDER           records for an empty store: every .jsonl file in it
  --join-code-minutes 10      how long a join code lives
  --tls-certificate FILE      speak https with this certificate (PEM, with what it was signed by)
  --tls-key FILE              ... and its key; SIGHUP reads both again
  --behind-tls                a server in front speaks https (browsers are told to stay with it)
  --trust-proxy ADDRESS       of that server: whom it says it asks for is believed
  --host NAME[,NAME]          the names it answers to; others are refused (any where not given)
  --metrics ADDRESS:PORT      counts as text for a monitor, at /metrics of an address of its own
  --backup-folder FOLDER      a checked copy there every --backup-hours 24, the last
                              --backup-keep 14 of them kept
  --role ROLE                 of the codes shown: pruner, lead or manager (the manager's first)
  --new-farm                  make an empty store where one is missing
nthtree-hub code --data FOLDER [--minutes 10] [--role pruner] [--person ID]
                                                  one more join code, while the hub runs or not
nthtree-hub keys --data FOLDER                    the phones that have joined
nthtree-hub withdraw NUMBER --data FOLDER         takes a phone's key; what it sent stays
nthtree-hub set-aside --data FOLDER               records that could not be read, and why
nthtree-hub verify --data FOLDER                  reads every record and its check sum
nthtree-hub page --data FOLDER                    a password for the day's page, /v1/day
nthtree-hub export FILE --data FOLDER             every record, one a line, for the command line;
         [--format records|table|counts] [--from 2025-11-01] [--to 2026-06-30]
nthtree-hub backup FILE --data FOLDER             a checked copy, while the hub runs or not
nthtree-hub restore FILE --data FOLDER            puts a backup back; the hub must not run
(all of these take --store and --farm in the place of --data)
nthtree-hub --version
Each setting may also stand in --config FILE as a line `name = value`, or in the environment as
NTHTREE_HUB_NAME; the command line beats the environment, and that the file.
)";

namespace {

base::Error wrong(std::string what, std::string where) {
  return {"usage", std::move(what), std::move(where)};
}

bool whole(const std::string& text, std::int64_t low, std::int64_t high, std::int64_t& value) {
  const auto read = base::read_whole(text, low, high, "");
  if (read) value = *read;
  return read.ok();
}

bool address(const std::string& text, Address& to) {
  const std::size_t colon = text.rfind(':');
  std::int64_t port = 0;
  if (colon == std::string::npos || !whole(text.substr(colon + 1), 0, 65535, port)) return false;
  std::string host = text.substr(0, colon);
  if (host.size() > 2 && host.front() == '[' && host.back() == ']') {
    host = host.substr(1, host.size() - 2);
  }
  to = {host, static_cast<unsigned short>(port)};
  return true;
}

bool yes_or_no(const std::string& text, bool& to) {
  to = text == "yes";
  return to || text == "no";
}

std::string trimmed(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string::npos) return "";
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

bool words_of(const std::string& text, std::vector<std::string>& to) {
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t comma = std::min(text.find(',', at), text.size());
    if (comma > at) to.push_back(trimmed(text.substr(at, comma - at)));
    at = comma + 1;
  }
  return !to.empty();
}

struct Setting {
  const char* name;
  bool takes_value;
  const char* wanted;  // what a value must be
  bool (*set)(Options& options, const std::string& value);
};

#define NTHTREE_TEXT(member) [](Options& o, const std::string& v) { o.member = v; return true; }

constexpr const char* any_text = "a text";
constexpr const char* minutes_wanted = "1 to 10080";
bool set_minutes(Options& o, const std::string& v) { return whole(v, 1, 10080, o.code_minutes); }

// Stands in the database as it is.
bool is_farm_name(const std::string& text) {
  return !text.empty() && text.size() <= 60 &&
         text.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-_") == text.npos;
}

bool set_farm(Options& o, const std::string& v) {
  if (is_farm_name(v)) o.farm = v;
  return is_farm_name(v);
}

bool set_farms(Options& o, const std::string& v) {
  std::vector<std::string> pairs;
  if (!words_of(v, pairs)) return false;
  o.farms.clear();
  for (const std::string& pair : pairs) {
    const std::size_t equals = pair.find('=');
    if (equals == pair.npos || equals + 1 == pair.size()) return false;
    const FarmAt farm{pair.substr(0, equals), pair.substr(equals + 1)};
    const bool is_doubled = std::any_of(o.farms.begin(), o.farms.end(), [&](const FarmAt& other) {
      return other.name == farm.name || other.host == farm.host;
    });
    if (!is_farm_name(farm.name) || name_in(farm.host) != farm.host || is_doubled) return false;
    o.farms.push_back(farm);
  }
  return true;
}

const Setting settings[] = {
    {"store", true, "postgresql://NAME@HOST/DATABASE",
     [](Options& o, const std::string& v) { return o.store = v, is_postgresql_address(v); }},
    {"farm", true, "small letters, digits, - and _", set_farm},
    {"farms", true, "NAME=HOST,NAME=HOST, each once, hosts in small letters without a port",
     set_farms},
    {"data", true, any_text, NTHTREE_TEXT(data)},
    {"site", true, any_text, NTHTREE_TEXT(site)},
    {"scenario", true, any_text, NTHTREE_TEXT(scenario)},
    {"trust-proxy", true, any_text, NTHTREE_TEXT(trusted_proxy)},
    {"person", true, any_text, NTHTREE_TEXT(person)},
    {"role", true, any_text, NTHTREE_TEXT(role)},
    {"from", true, any_text, NTHTREE_TEXT(from)},
    {"to", true, any_text, NTHTREE_TEXT(to)},
    {"format", true, "records, table or counts",
     [](Options& o, const std::string& v) {
       o.format = v;
       return v == "records" || v == "table" || v == "counts";
     }},
    {"tls-certificate", true, any_text, NTHTREE_TEXT(tls_certificate)},
    {"tls-key", true, any_text, NTHTREE_TEXT(tls_key)},
    {"backup-folder", true, any_text, NTHTREE_TEXT(backup_folder)},
    {"listen", true, "ADDRESS:PORT",
     [](Options& o, const std::string& v) { return address(v, o.listen); }},
    {"metrics", true, "ADDRESS:PORT",
     [](Options& o, const std::string& v) { return address(v, o.metrics.emplace()); }},
    {"host", true, "NAME or NAME,NAME",
     [](Options& o, const std::string& v) { return o.hosts.clear(), words_of(v, o.hosts); }},
    {"join-code-minutes", true, minutes_wanted, set_minutes},
    {"minutes", true, minutes_wanted, set_minutes},
    {"backup-hours", true, "1 to 720",
     [](Options& o, const std::string& v) { return whole(v, 1, 720, o.backup_hours); }},
    {"backup-keep", true, "1 to 10000",
     [](Options& o, const std::string& v) { return whole(v, 1, 10000, o.backup_keep); }},
    {"behind-tls", false, "yes or no",
     [](Options& o, const std::string& v) { return yes_or_no(v, o.behind_tls); }},
    {"new-farm", false, "yes or no",
     [](Options& o, const std::string& v) { return yes_or_no(v, o.new_farm); }},
};
#undef NTHTREE_TEXT

const Setting* setting_named(const std::string& name) {
  const auto found = std::find_if(std::begin(settings), std::end(settings),
                                  [&](const Setting& s) { return name == s.name; });
  return found == std::end(settings) ? nullptr : found;
}

base::Status set(Options& options, const std::string& name, const std::string& value,
                 const std::string& where) {
  const Setting* setting = setting_named(name);
  if (!setting) return wrong("there is no setting " + name, where);
  if (setting->set(options, value)) return base::Ok{};
  const std::string said = name == "store" ? "" : ", not " + value;  // a password may be in it
  return wrong(name + " wants " + setting->wanted + said, where);
}

base::Status read_file(Options& options, const std::string& path) {
  std::ifstream file(path);
  if (!file) return wrong("cannot be read", path);
  std::string line;
  for (int number = 1; std::getline(file, line); ++number) {
    line = trimmed(line);
    if (line.empty() || line.front() == '#') continue;
    const std::string where = path + ":" + std::to_string(number);
    const std::size_t equals = line.find('=');
    if (equals == std::string::npos) return wrong("must be name = value", where);
    const auto done = set(options, trimmed(line.substr(0, equals)),
                          trimmed(line.substr(equals + 1)), where);
    if (!done) return done;
  }
  return base::Ok{};
}

base::Status read_environment(Options& options, const Environment& environment) {
  for (const Setting& setting : settings) {
    std::string name = std::string("NTHTREE_HUB_") + setting.name;
    for (char& c : name) c = c == '-' ? '_' : static_cast<char>(std::toupper(c));
    const char* value = environment(name.c_str());
    if (!value) continue;
    if (const auto done = set(options, setting.name, value, name); !done) return done;
  }
  return base::Ok{};
}

base::Result<base::Arguments> read_options(const base::Words& words) {
  std::vector<base::OptionName> known = {
      {"--config", true}, {"--help", false}, {"--version", false}};
  for (const Setting& setting : settings) {
    known.push_back({std::string("--") + setting.name, setting.takes_value});
  }
  auto arguments = base::read_arguments(words, known, 0, 1);
  if (!arguments) return wrong(arguments.error().what, arguments.error().where);
  return arguments;
}

base::Status take_options(Options& options, const base::Arguments& arguments) {
  for (const Setting& setting : settings) {
    const std::string option = std::string("--") + setting.name;
    if (!arguments.has(option)) continue;
    const std::string value = setting.takes_value ? arguments.value(option) : "yes";
    if (const auto done = set(options, setting.name, value, option); !done) return done;
  }
  return base::Ok{};
}

}  // namespace

base::Result<Command> read_command(const std::vector<std::string>& words,
                                   const Environment& environment) {
  Command command;
  const bool is_named = !words.empty() && words[0].substr(0, 2) != "--";
  if (is_named) command.name = words[0];
  const auto arguments = read_options({words.begin() + (is_named ? 1 : 0), words.end()});
  if (!arguments) return arguments.error();
  command.help = arguments->has("--help");
  command.version = arguments->has("--version");
  if (!arguments->rest.empty()) command.options.argument = arguments->rest[0];
  // The file first, then the environment, then the command line: the later beats the earlier.
  const char* const named = environment("NTHTREE_HUB_CONFIG");
  const std::string file = arguments->value("--config", named ? named : "");
  if (!file.empty()) {
    if (const auto read = read_file(command.options, file); !read) return read.error();
  }
  if (const auto read = read_environment(command.options, environment); !read) return read.error();
  if (const auto taken = take_options(command.options, *arguments); !taken) return taken.error();
  const Options& o = command.options;
  const bool needs_place = !command.help && !command.version;
  if (needs_place && o.data.empty() && o.store.empty()) return wrong("is missing", "--data");
  if (!o.farms.empty() && (o.store.empty() || !o.hosts.empty())) {
    return wrong("goes with --store, and says the hosts itself", "--farms");
  }
  if (o.tls_certificate.empty() != o.tls_key.empty()) {
    return wrong("certificate and key are given together or not at all", "--tls-key");
  }
  return command;
}

}  // namespace nthtree::hub
