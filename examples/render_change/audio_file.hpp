// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <filesystem>
#include <limits>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <sndfile.h>

#include <lodewire/quantity/finite.hpp>

/// Reading and writing audio files through libsndfile, with errors that name the file.
namespace render_example {

/// Samples, channel by channel; full scale is 1.
struct recording {
  double rate = 48e3;
  std::vector<std::vector<double>> channels;
  std::size_t not_numbers = 0; ///< samples that were NaN or infinite and were taken as silence

  [[nodiscard]] std::size_t frames() const noexcept { return channels.empty() ? 0 : channels[0].size(); }
};

struct close_file {
  void operator()(SNDFILE* file) const noexcept { sf_close(file); }
};
using open_file = std::unique_ptr<SNDFILE, close_file>;

[[noreturn]] inline void refuse(const std::string& name, const std::string& why) {
  throw std::runtime_error("'" + name + "' " + why);
}

/// Any format and rate that libsndfile reads, one or two channels. Throws `std::runtime_error` for a file that is
/// missing, empty, cut short or of more channels.
[[nodiscard]] inline recording read_recording(const std::string& name) {
  if (!std::filesystem::exists(name)) refuse(name, "does not exist");
  if (std::filesystem::is_directory(name)) refuse(name, "is a folder, not an audio file");
  if (std::filesystem::file_size(name) == 0) refuse(name, "is empty: no header, no samples");
  SF_INFO info{};
  const open_file file(sf_open(name.c_str(), SFM_READ, &info));
  if (!file) refuse(name, std::string("is no audio file that can be read: ") + sf_strerror(nullptr));
  if (info.channels < 1 || info.channels > 2)
    refuse(name,
           "has " + std::to_string(info.channels) + " channels; one or two are what an instrument gives");
  if (info.samplerate < 8000 || info.samplerate > 768000)
    refuse(name,
           "has a sampling rate of " + std::to_string(info.samplerate) + " Hz; 8000 to 768000 Hz are taken");
  // libsndfile takes a file that is cut short for a shorter one, and says so in its log alone.
  std::string log(4096, '\0');
  log.resize(static_cast<std::size_t>(
      sf_command(file.get(), SFC_GET_LOG_INFO, log.data(), static_cast<int>(log.size()))));
  const auto begins = log.find("data : ");
  const bool cut = begins != std::string::npos &&
                   log.substr(begins, log.find('\n', begins) - begins).find("should be") != std::string::npos;
  if (info.frames == 0) refuse(name, "has a header, but no samples");
  if (cut) refuse(name, "is cut short: its header says that there is more");

  const auto channels = static_cast<std::size_t>(info.channels);
  recording r;
  r.rate = info.samplerate;
  r.channels.resize(channels);
  constexpr std::size_t block = 1U << 16U;
  std::vector<double> mixed(block * channels);
  for (sf_count_t read = 0; (read = sf_readf_double(file.get(), mixed.data(), block)) > 0;)
    for (std::size_t i = 0; i < static_cast<std::size_t>(read) * channels; ++i) {
      const bool number = lodewire::is_finite(mixed[i]);
      r.not_numbers += number ? 0U : 1U;
      r.channels[i % channels].push_back(number ? mixed[i] : 0);
    }
  if (static_cast<sf_count_t>(r.frames()) < info.frames)
    refuse(name, "is cut short: " + std::to_string(info.frames) + " samples announced, " +
                     std::to_string(r.frames()) + " there");
  return r;
}

/// Throws `std::runtime_error` if there is a file of that name.
inline void refuse_to_overwrite(const std::string& name) {
  if (std::filesystem::exists(std::filesystem::symlink_status(name)))
    refuse(name, "exists; it is not overwritten: give another name");
}

/// WAV with samples of 32-bit float, so that nothing is clipped whatever the level. Written under another name and
/// moved when it is whole. Throws `std::runtime_error`.
inline void write_recording(const recording& r, const std::string& name) {
  refuse_to_overwrite(name);
  const std::string partly = name + ".part";
  refuse_to_overwrite(partly);
  SF_INFO info{};
  info.samplerate = static_cast<int>(r.rate);
  info.channels = static_cast<int>(r.channels.size());
  info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
  open_file file(sf_open(partly.c_str(), SFM_WRITE, &info));
  if (!file) refuse(name, std::string("cannot be written: ") + sf_strerror(nullptr));
  sf_command(file.get(), SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE); // it holds the time of day
  std::vector<double> mixed(r.frames() * r.channels.size());
  for (std::size_t c = 0; c < r.channels.size(); ++c)
    for (std::size_t i = 0; i < r.frames(); ++i) mixed[i * r.channels.size() + c] = r.channels[c][i];
  const auto frames = static_cast<sf_count_t>(r.frames());
  const bool whole = sf_writef_double(file.get(), mixed.data(), frames) == frames;
  file.reset();
  if (!whole) {
    std::filesystem::remove(partly);
    refuse(name, "cannot be written whole: is the disk full?");
  }
  // A hard link fails where a file has come by that name in the meantime; a renaming would not.
  std::error_code failed;
  std::filesystem::create_hard_link(partly, name, failed);
  if (failed && !std::filesystem::exists(name))
    std::filesystem::rename(partly, name, failed);
  else if (!failed)
    std::filesystem::remove(partly);
  if (failed) {
    std::filesystem::remove(partly);
    refuse(name, "cannot be written: " + failed.message());
  }
}

} // namespace render_example
