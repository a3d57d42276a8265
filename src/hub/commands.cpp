// SPDX-License-Identifier: Apache-2.0
#include "hub/commands.h"

#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <future>
#include <iterator>

#include "base/text.h"
#include "hub/secret.h"
#include "hub/server.h"
#include "hub/store_sqlite.h"
#include "ledger/ledger.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;

std::int64_t wall_ms() {
  using namespace std::chrono;
  return duration_cast<milliseconds>(system_clock::now().time_since_epoch()).count();
}

std::string store_path(const Options& options) { return options.data + "/hub.sqlite"; }

// One hub a folder: the kernel lets go of the lock whatever ends the process.
class FolderLock {
 public:
  explicit FolderLock(const std::string& folder)
      : file_(open((folder + "/lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)),
        held_(file_ >= 0 && flock(file_, LOCK_EX | LOCK_NB) == 0) {}
  ~FolderLock() {
    if (file_ >= 0) close(file_);
  }
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  bool held() const { return held_; }

 private:
  int file_;
  bool held_;
};

base::Status import_scenario(const std::string& folder, Writer& writer) {
  std::vector<fs::path> files;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    if (entry.path().extension() == ".jsonl") files.push_back(entry.path());
  }
  if (files.empty()) return base::Error{"no_file", "has no .jsonl file", folder};
  std::sort(files.begin(), files.end());
  for (const fs::path& path : files) {
    std::ifstream file(path, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    const ledger::LedgerFile ledger = ledger::read_ledger_file(text);
    for (const base::Error& bad : ledger.errors) {
      std::fprintf(stderr, "%s: %s\n", path.c_str(), bad.text().c_str());
    }
    std::promise<base::Status> done;
    std::uint64_t added = 0;
    writer.run(
        [&](Store&, sync::HubSide& side) {
          const auto imported = side.import(ledger.records, wall_ms());
          if (imported) added = *imported;
        },
        [&](base::Status status) { done.set_value(std::move(status)); });
    if (const auto status = done.get_future().get(); !status) return status;
    std::printf("imported %llu records from %s\n", static_cast<unsigned long long>(added),
                path.filename().c_str());
  }
  return base::Ok{};
}

base::Status serve(const Options& options) {
  const FolderLock lock(options.data);
  if (!lock.held()) return base::Error{"in_use", "another hub uses this folder", options.data};
  // All threads leave these two to the one that waits for them below.
  sigset_t endings;
  sigemptyset(&endings);
  sigaddset(&endings, SIGINT);
  sigaddset(&endings, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &endings, nullptr);
  signal(SIGPIPE, SIG_IGN);

  auto store = open_sqlite_store(store_path(options));
  if (!store) return store.error();
  const bool empty = (*store)->last_arrival() == 0;
  Site site;
  if (!options.site.empty()) {
    auto loaded = load_site(options.site);
    if (!loaded) return loaded.error();
    site = std::move(*loaded);
  }
  Writer writer(std::move(*store), wall_ms);
  if (const auto started = writer.start(); !started) return started;
  if (empty && !options.scenario.empty()) {
    if (const auto imported = import_scenario(options.scenario, writer); !imported) return imported;
  }
  Service service({options.behind_tls, options.code_minutes, wall_ms,
                   [](const std::string& code) {
                     std::printf("join code: %s\n", code.c_str());
                     std::fflush(stdout);
                   }},
                  std::move(site), writer);
  Server server(service);
  if (const auto listening = server.listen(options.host, options.port); !listening) {
    return listening;
  }
  const bool is_v6 = options.host.find(':') != std::string::npos;
  std::printf("listening on http://%s%s%s:%u\n", is_v6 ? "[" : "", options.host.c_str(),
              is_v6 ? "]" : "", server.port());
  std::fflush(stdout);
  if (const auto started = service.start(); !started) return started;

  int ending = 0;
  sigwait(&endings, &ending);
  server.stop();
  writer.stop();
  std::printf("stopped\n");
  return base::Ok{};
}

base::Status add_code(const Options& options) {
  auto store = open_sqlite_store(store_path(options));
  if (!store) return store.error();
  const std::string code = new_join_code();
  (*store)->begin();
  (*store)->add_code(sync::sha256(*tidy_join_code(code)),
                     wall_ms() + options.code_minutes * 60000);
  if (const auto committed = (*store)->commit(); !committed) return committed;
  std::printf("join code: %s\n", code.c_str());
  return base::Ok{};
}

base::Status list_keys(const Options& options) {
  auto store = open_sqlite_store(store_path(options));
  if (!store) return store.error();
  for (const KeyOfPhone& key : (*store)->keys()) {
    std::string last = "nothing sent";
    if (const auto record = (*store)->last_record_of(carrier_of(key))) {
      const auto read = ledger::read_record(record->bytes);
      last = "last record " + base::iso_minute(record->received_ms) +
             (read && !read->author.empty() ? " by " + read->author : "");
    }
    std::printf("%4lld  %s  %s  %s  %s\n", static_cast<long long>(key.id),
                base::iso_minute(key.joined_ms).c_str(),
                key.withdrawn_ms ? "withdrawn" : "good     ", key.name.c_str(), last.c_str());
  }
  return base::Ok{};
}

base::Status withdraw(const Options& options) {
  auto store = open_sqlite_store(store_path(options));
  if (!store) return store.error();
  (*store)->begin();
  const bool withdrawn = (*store)->withdraw_key(std::atoll(options.argument.c_str()), wall_ms());
  if (const auto committed = (*store)->commit(); !committed) return committed;
  if (!withdrawn) return base::Error{"no_key", "there is no good key with this number",
                                     options.argument};
  return base::Ok{};
}

base::Status list_set_aside(const Options& options) {
  auto store = open_sqlite_store(store_path(options));
  if (!store) return store.error();
  for (const SetAside& entry : (*store)->set_aside_list()) {
    std::printf("%s from %s, no record: %s\n%s\n", entry.id.text().c_str(),
                entry.carrier.c_str(), entry.reason.c_str(), entry.bytes.c_str());
  }
  // Held and given on, because a later version may read them.
  (*store)->each_id([&](const ledger::RecordId& id) {
    const auto record = ledger::read_record((*store)->bytes(id).value_or(""));
    if (record) return;
    std::printf("%s, not readable here: %s\n", id.text().c_str(), record.error().text().c_str());
  });
  return base::Ok{};
}

base::Status make_backup(const Options& options) {
  const auto records = back_up(store_path(options), options.argument);
  if (!records) return records.error();
  std::printf("%llu records are safe in %s\n", static_cast<unsigned long long>(*records),
              options.argument.c_str());
  return base::Ok{};
}

base::Status restore_backup(const Options& options) {
  const FolderLock lock(options.data);
  if (!lock.held()) return base::Error{"in_use", "stop the hub first", options.data};
  return restore(options.argument, store_path(options));
}

}  // namespace

base::Status run_command(const std::string& command, const Options& options) {
  std::error_code error;
  fs::create_directories(options.data, error);
  if (error) return base::Error{"no_folder", error.message(), options.data};
  const bool wants_argument = command == "backup" || command == "restore" || command == "withdraw";
  if (wants_argument == options.argument.empty()) {
    return base::Error{"usage", command + (wants_argument ? " needs an argument"
                                                          : " takes no argument"), ""};
  }
  if (command == "serve") return serve(options);
  if (command == "code") return add_code(options);
  if (command == "keys") return list_keys(options);
  if (command == "withdraw") return withdraw(options);
  if (command == "set-aside") return list_set_aside(options);
  if (command == "backup") return make_backup(options);
  if (command == "restore") return restore_backup(options);
  return base::Error{"usage", "unknown command " + command, ""};
}

}  // namespace nthtree::hub
