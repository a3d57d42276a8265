// SPDX-License-Identifier: Apache-2.0
//
// How the hub is told what to do: a command, and settings from a file, the environment and the
// command line. The later of these beats the earlier.
//
// A file has a line `name = value` for each setting and `#` before a remark; the environment has
// NTHTREE_HUB_NAME; the command line has --name value. An unknown name or a value out of range is
// an error that says where it stands.
//
//   auto command = read_command(words, environment_of_process);
//   if (command) run_command(command->name, command->options);
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "hub/limits.h"

namespace nthtree::hub {

struct Address {
  std::string host;
  unsigned short port = 0;
};

struct FarmAt {
  std::string name, host;  // its name in the database and in its phones' addresses
};

struct Options {
  std::string data, site, scenario;
  std::string store, farm = "farm";  // a PostgreSQL address, and whose rows; empty: a file in data
  std::vector<FarmAt> farms;  // of a process that serves many; empty: `farm` alone
  Address listen{"127.0.0.1", 8080};
  std::optional<Address> metrics;
  std::int64_t code_minutes = code_minutes_default;
  bool behind_tls = false;
  bool new_farm = false;            // make a store although there seems to have been one
  std::string trusted_proxy;        // its address
  std::vector<std::string> hosts;   // names it answers to; empty: any
  std::string tls_certificate, tls_key;  // PEM files; both or none
  std::string backup_folder;             // empty: none are made by itself
  std::int64_t backup_hours = 24, backup_keep = 14;
  std::string role, person;  // of a code
  std::string format, from, to;  // of an export: records (as they are), table, counts; ISO days
  std::string argument;      // FILE or NUMBER
};

struct Command {
  std::string name = "serve";
  Options options;
  bool help = false, version = false;
};

using Environment = std::function<const char*(const char* name)>;

// Error id "usage".
base::Result<Command> read_command(const std::vector<std::string>& words,
                                   const Environment& environment);

extern const char* const usage_text;

}  // namespace nthtree::hub
