"""Grade from few samples: means, confidence limits, lognormality, sampling error."""

import operator

import numpy as np

from ....formulas import smallest
from ....trade import head, lognormal, quantiles, samples, sampling
from ...axes import SAMPLE, Axis
from ...line import Section

found = Section("Samples", "Mean grade of the samples")
trust = Section("Samples", "Lognormality test")
error = Section("Samples", "Sampling error")
table = Section("Samples", "Sample assays")
ranked = Section("Samples", "Sorted log grades and normal scores")
series = Section("Samples", "Series terms of Sichel's factor")

UNWEIGHTED = (
    "The lognormal mean grade leaves out the sample weights (widths); the weighted "
    "mean is on the sheet Samples."
)

RANK = Axis("rank", "Rank", "count", SAMPLE.values, down=True)
TERM = Axis(
    "term", "Term", "count", tuple(range(1, lognormal.SICHEL_TERMS + 1)), down=True
)

table.entries(
    "sample_grade",
    "sample_weight",
    "sample_coarse_mass",
    "sample_coarse_grade",
    "sample_fine_mass",
)


@table.line("Fine mass missing", "count", over="sample")
def sample_lacks_fine(sample_coarse_mass, sample_fine_mass):
    """1 if there is a coarse fraction alone: the row is not used."""
    lacks = np.logical_and(sample_coarse_mass > 0, sample_fine_mass <= 0)
    return np.where(lacks, 1, 0)


@table.line("In use", "count", over="sample")
def sample_used(sample_weight, sample_lacks_fine):
    """1 if a weight is given, and the fine mass of a screen-fire assay."""
    return np.where(sample_weight > 0, 1, 0) * (1 - sample_lacks_fine)


@table.line("Sample grade", "grade", over="sample")
def sample_value(
    sample_grade,
    sample_coarse_mass,
    sample_coarse_grade,
    sample_fine_mass,
    sample_lacks_fine,
    one_gram,
):
    """Screen-fire: mass-weighted fractions; otherwise the assay."""
    fine_mass = np.where(sample_fine_mass > 0, sample_fine_mass, one_gram)
    found = head.metallics_grade(
        sample_coarse_mass, sample_coarse_grade, fine_mass, sample_grade
    )
    return found * (1 - sample_lacks_fine)


@table.line("Weight used", over="sample")
def sample_share(sample_weight, sample_used, sample_count):
    """Sample weight; 1 for all rows without samples."""
    return np.where(sample_count > 0, sample_weight * sample_used, 1)


@table.line("Log grade", over="sample")
def sample_log(sample_value, sample_constant, sample_used, one_grade):
    """Natural logarithm of grade plus constant; 0 if undefined."""
    grade = sample_value + sample_constant
    return np.log(np.where(grade > 0, grade, one_grade) / one_grade) * sample_used


@table.line("Squared deviation", over="sample")
def sample_deviation(sample_log, sample_log_mean, sample_used):
    """Of the log grade from its mean."""
    deviation = sample_log - sample_log_mean
    return sample_used * deviation * deviation


@table.line("Sort key", over="sample")
def sample_sortable(sample_log, sample_used, beyond_any):
    """Log grade; unused rows go last."""
    return np.where(sample_used > 0, sample_log, beyond_any)


@ranked.line("Sorted deviation", over="rank")
def sample_sorted(rank, sample_sortable, sample_count, sample_log_mean):
    """Of the sorted log grades from their mean."""
    value = smallest(sample_sortable, rank)
    return np.where(rank <= sample_count, value - sample_log_mean, 0)


@ranked.line("Normal score", over="rank")
def sample_score(rank, sample_count):
    """Expected normal value of this rank."""
    count = np.maximum(sample_count, 1)
    score = quantiles.normal_score(np.minimum(rank, count), count)
    return np.where(rank <= sample_count, score, 0)


@found.line("Samples used", "count")
def sample_count(sample_used):
    """Rows with a weight."""
    return np.sum(sample_used, axis=0)


@found.line("Assays without a weight", "count")
def samples_without_weight(sample_grade, sample_coarse_grade, sample_weight):
    """Not used; enter true width, mass, or the tons that a sample stands for."""
    weighed = (sample_weight > 0) * 1
    return np.sum((sample_grade + sample_coarse_grade > 0) * (1 - weighed), axis=0)


@found.line("Screen-fire rows without a fine mass", "count")
def samples_without_fine(sample_weight, sample_lacks_fine):
    """Not used; enter the mass of the undersize."""
    return np.sum((sample_weight > 0) * sample_lacks_fine, axis=0)


@found.line("Zero assays", "count")
def sample_zeros(sample_used, sample_value, sample_constant):
    """No logarithm unless a constant is added."""
    return np.sum((sample_value + sample_constant <= 0) * sample_used, axis=0)


@found.line("Weighted mean grade", "grade")
def sample_weighted_mean(sample_value, sample_share):
    """Weighted by width or mass."""
    return samples.weighted_mean(sample_value, sample_share, axis=0)


@found.line("Effective number of samples", "count")
def sample_effective_count(sample_share):
    """Of the weighted mean, by Kish; the number of samples if all weigh the same."""
    return samples.effective_number(sample_share, axis=0)


@found.line("Weight of the heaviest sample", "share")
def heaviest_share(sample_share):
    """Of the weight of all samples."""
    return np.max(sample_share, axis=0) / np.sum(sample_share, axis=0)


@found.line("Mean of log grades")
def sample_log_mean(sample_log, sample_count):
    """Unweighted, natural logarithms."""
    return np.sum(sample_log, axis=0) / np.maximum(sample_count, 1)


@found.line("Variance of log grades")
def sample_log_variance(sample_deviation, sample_count):
    """Divided by n - 1."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count - 1, 1)


@found.line("Variance of log grades, divided by n")
def sichel_variance(sample_deviation, sample_count):
    """For Sichel's factor."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count, 1)


@series.line("Series term", over="term")
def closing_sichel(opening_sichel, term, sichel_count, sichel_variance):
    """From the previous term; the first from 1."""
    previous = np.where(term > 1, opening_sichel, 1)
    return lognormal.sichel_term(previous, term, sichel_count, sichel_variance)


@found.line("Sample number for Sichel's factor", "count")
def sichel_count(sample_count):
    """At least two."""
    return np.maximum(sample_count, 1 + 1)


@found.line("Sichel's factor")
def sichel_factor(closing_sichel):
    """Multiplies the geometric mean."""
    return 1 + np.sum(closing_sichel, axis=0)


@found.line("Lognormal mean (Finney, Sichel)", "grade")
def sample_lognormal_mean(
    sample_log_mean,
    sichel_factor,
    sample_constant,
    sample_count,
    sample_zeros,
    one_grade,
):
    """n/a with fewer than two samples or a zero assay."""
    mean = np.exp(sample_log_mean) * sichel_factor * one_grade - sample_constant
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    return np.where(usable, mean, np.nan)


@found.line("Cox interval, centre of the logarithm")
def cox_middle(sample_log_mean, sample_log_variance, sichel_count):
    """Log mean plus half the log variance."""
    return lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[0]


@found.line("Cox interval, half-width of the logarithm")
def cox_half(sample_log_mean, sample_log_variance, sichel_count, sample_confidence):
    """With Student's t."""
    spread = lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[1]
    return spread * quantiles.student_t(sample_confidence, sichel_count - 1)


@found.line("Mean and interval are lognormal", "count")
def mean_is_lognormal(sample_mean_method, sample_count, sample_zeros):
    """1 if chosen and possible; 0 for the weighted mean and Student's interval."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    return np.where(np.logical_and(usable, sample_mean_method == "lognormal"), 1, 0)


@found.line("Mean grade used", "grade")
def sample_mean(mean_is_lognormal, sample_lognormal_mean, sample_weighted_mean):
    """As chosen; the weighted mean if there is no lognormal mean."""
    return np.where(mean_is_lognormal > 0, sample_lognormal_mean, sample_weighted_mean)


@found.line("Weights left out of the mean")
def weights_left_out(
    mean_is_lognormal,
    grade_source,
    sample_effective_count,
    sample_count,
    check_tolerance,
):
    """Words; empty unless the grade is a lognormal mean of unequal weights."""
    equal = sample_effective_count >= sample_count * (1 - check_tolerance)
    used = np.logical_and(mean_is_lognormal > 0, grade_source == "samples")
    return np.where(np.logical_and(used, np.logical_not(equal)), UNWEIGHTED, "")


@found.line("Arithmetic mean, unweighted", "grade")
def sample_plain_mean(sample_value, sample_used, sample_count):
    """Centre of Student's interval."""
    return np.sum(sample_value * sample_used, axis=0) / np.maximum(sample_count, 1)


@table.line("Squared deviation of the grade", "grade*grade", over="sample")
def sample_grade_deviation(sample_value, sample_plain_mean, sample_used):
    """From the unweighted mean."""
    deviation = sample_value - sample_plain_mean
    return sample_used * deviation * deviation


@found.line("Student interval, half-width", "grade")
def student_half(
    sample_grade_deviation, sichel_count, sample_effective_count, sample_confidence
):
    """Of the unweighted mean, for as few samples as the weights leave."""
    variance = np.sum(sample_grade_deviation, axis=0) / (sichel_count - 1)
    score = quantiles.student_t(sample_confidence, sichel_count - 1)
    return score * np.sqrt(variance / sample_effective_count)


for name, end, to, caution in (
    ("sample_mean_low", "lower", operator.sub, "unreliable with few samples"),
    ("sample_mean_high", "upper", operator.add, "too low with few samples"),
):

    @found.line(
        f"Mean grade, {end} confidence limit",
        "grade",
        name=name,
        note=f"Of the mean used, at the confidence chosen; {caution}.",
    )
    def mean_limit(
        mean_is_lognormal,
        sample_mean,
        cox_middle,
        cox_half,
        sample_constant,
        sample_plain_mean,
        student_half,
        sample_count,
        one_grade,
        to=to,
    ):
        """Both limits are scaled by the mean used over the mean of the method."""
        centre = np.exp(cox_middle) * one_grade - sample_constant
        limit = np.exp(to(cox_middle, cox_half)) * one_grade - sample_constant
        cox = limit * (sample_mean / centre)
        plain = to(sample_plain_mean, student_half) * sample_mean / sample_plain_mean
        found = np.where(mean_is_lognormal > 0, cox, plain)
        return np.where(sample_count > 1, found, np.nan)


@trust.line("Correlation with normal scores")
def sample_straightness(sample_sorted, sample_score, sample_deviation):
    """1 for perfectly normal logarithms."""
    size = np.sum(sample_deviation, axis=0) * np.sum(
        sample_score * sample_score, axis=0
    )
    product = np.sum(sample_sorted * sample_score, axis=0)
    return np.where(size > 0, product / np.sqrt(np.where(size > 0, size, 1)), 1)


@trust.line("Critical correlation at 5%")
def sample_straightness_needed(sample_count, fewest_to_test):
    """Ryan-Joiner test."""
    return lognormal.ryan_joiner_critical(np.maximum(sample_count, fewest_to_test))


@trust.line("Lognormality test")
def sample_lognormal(
    sample_straightness, sample_straightness_needed, sample_count, fewest_to_test
):
    """Ryan-Joiner; few samples never reject it."""
    straight = np.where(
        sample_straightness >= sample_straightness_needed, "credible", "not credible"
    )
    return np.where(sample_count < fewest_to_test, "too few to tell", straight)


@error.line("Grade for the sampling error", "grade")
def sampling_grade(sample_weighted_mean, ore_grade):
    """Weighted mean, or the entered grade without samples."""
    return np.where(sample_weighted_mean > 0, sample_weighted_mean, ore_grade)


@error.line("Mass and sizes of the sample entered (1) or not (0)", "count")
def sample_described(sample_mass, sample_top_size, sample_gold_size):
    """Without them nobody knows its error."""
    sizes = np.logical_and(sample_top_size > 0, sample_gold_size > 0)
    return np.where(np.logical_and(sizes, sample_mass > 0), 1, 0)


def size_used(size, pulp_top_size):
    """The top size of the pulp until one is entered."""
    return np.where(size > 0, size, pulp_top_size)


for name, label, read in (
    ("sample_top_used", "Top size used", "sample_top_size"),
    ("sample_gold_used", "Gold grain size used", "sample_gold_size"),
):
    error.line(label, "mm", name=name, reads=(read, "pulp_top_size"))(size_used)


@error.line("Error of taking the sample", "share")
def taking_error(
    sample_mass,
    sampling_grade,
    g_per_t_per_grade,
    sample_top_used,
    sample_gold_used,
    sample_liberation_exponent,
    sample_described,
    one_gram,
):
    """By Gy, at least the grain limit; n/a until mass and sizes are entered."""
    found = sampling.sampling_error(
        np.maximum(sample_mass, one_gram),
        sampling_grade * g_per_t_per_grade,
        sample_top_used,
        sample_gold_used,
        sample_liberation_exponent,
    )
    return np.where(sample_described > 0, found, np.nan)


@error.line("Error of taking the assay portion", "share")
def portion_error(
    assay_portion,
    sampling_grade,
    g_per_t_per_grade,
    pulp_top_size,
    sample_gold_size,
    sample_gold_used,
    one_gram,
):
    """The same for the portion of the pulp; 0 if all of it is assayed."""
    found = sampling.sampling_error(
        np.where(assay_portion > 0, assay_portion, one_gram),
        sampling_grade * g_per_t_per_grade,
        pulp_top_size,
        sample_gold_used,
    )
    known = np.where(sample_gold_size > 0, found, np.nan)
    return np.where(assay_portion > 0, known, 0)


@error.line("Error of one assayed sample", "share")
def one_sample_error(taking_error, portion_error, sample_described):
    """Sample and assay portion together; n/a until both are known."""
    found = np.sqrt(taking_error * taking_error + portion_error * portion_error)
    return np.where(sample_described > 0, found, np.nan)


@error.line("Sample mass for half the error of taking it", "g")
def mass_to_halve_error(sample_mass, one_gram):
    """Four times the mass; the assay portion's error stays. n/a without a mass."""
    found = sampling.mass_to_reduce(np.maximum(sample_mass, one_gram))
    return np.where(sample_mass > 0, found, np.nan)
