"""Grade from few samples: means, how far they can be trusted, sampling error."""

import numpy as np

from ....formulas import smallest
from ....trade import head, lognormal, quantiles, samples, sampling
from ...axes import SAMPLE, Axis
from ...line import Section

found = Section("Samples", "Grade from the samples")
trust = Section("Samples", "Are the logarithms normal?")
error = Section("Samples", "Error of one sample")
table = Section("Samples", "Assays")
ranked = Section("Samples", "Sorted, against normal scores")
series = Section("Samples", "Terms of Sichel's factor")

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


@table.line("Used", "count", over="sample")
def sample_used(sample_weight):
    """1 where a weight is given."""
    return np.where(sample_weight > 0, 1, 0)


@table.line("Grade used", "grade", over="sample")
def sample_value(
    sample_grade, sample_coarse_mass, sample_coarse_grade, sample_fine_mass, one_gram
):
    """Screen-fire: both fractions by their masses; else the assay itself."""
    fine_mass = np.where(sample_fine_mass > 0, sample_fine_mass, one_gram)
    return head.metallics_grade(
        sample_coarse_mass, sample_coarse_grade, fine_mass, sample_grade
    )


@table.line("Weight that counts", over="sample")
def sample_share(sample_weight, sample_count):
    """The weight; 1 for all while there are no samples."""
    return np.where(sample_count > 0, sample_weight, 1)


@table.line("Logarithm", over="sample")
def sample_log(sample_value, sample_constant, sample_used, one_grade):
    """Natural, of the grade and the constant; 0 where nothing can be taken."""
    grade = sample_value + sample_constant
    return np.log(np.where(grade > 0, grade, one_grade) / one_grade) * sample_used


@table.line("Squared deviation", over="sample")
def sample_deviation(sample_log, sample_log_mean, sample_used):
    """Of the logarithm from its mean."""
    deviation = sample_log - sample_log_mean
    return sample_used * deviation * deviation


@table.line("To be sorted", over="sample")
def sample_sortable(sample_log, sample_used, beyond_any):
    """The logarithm; unused rows go to the end."""
    return np.where(sample_used > 0, sample_log, beyond_any)


@ranked.line("Sorted deviation", over="rank")
def sample_sorted(rank, sample_sortable, sample_count, sample_log_mean):
    """Of the sorted logarithms from their mean."""
    value = smallest(sample_sortable, rank)
    return np.where(rank <= sample_count, value - sample_log_mean, 0)


@ranked.line("Normal score", over="rank")
def sample_score(rank, sample_count):
    """Where a normal value of this rank is expected."""
    count = np.maximum(sample_count, 1)
    score = quantiles.normal_score(np.minimum(rank, count), count)
    return np.where(rank <= sample_count, score, 0)


@found.line("Samples used", "count")
def sample_count(sample_used):
    """Rows with a weight."""
    return np.sum(sample_used, axis=0)


@found.line("Samples without gold", "count")
def sample_zeros(sample_used, sample_value, sample_constant):
    """They have no logarithm unless a constant is added."""
    return np.sum((sample_value + sample_constant <= 0) * sample_used, axis=0)


@found.line("Mean by weight", "grade")
def sample_weighted_mean(sample_value, sample_share):
    """The foot-ounce mean."""
    return samples.weighted_mean(sample_value, sample_share, axis=0)


@found.line("Mean of the logarithms")
def sample_log_mean(sample_log, sample_count):
    """Unweighted."""
    return np.sum(sample_log, axis=0) / np.maximum(sample_count, 1)


@found.line("Variance of the logarithms")
def sample_log_variance(sample_deviation, sample_count):
    """Divided by the number less one."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count - 1, 1)


@found.line("The same, divided by the number")
def sichel_variance(sample_deviation, sample_count):
    """As Sichel's factor wants it."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count, 1)


@series.line("Term", over="term", start="everything")
def closing_sichel(opening_sichel, term, sichel_count, sichel_variance):
    """From the one before it."""
    return lognormal.sichel_term(opening_sichel, term, sichel_count, sichel_variance)


@found.line("Samples for Sichel's factor", "count")
def sichel_count(sample_count, everything):
    """Two at least."""
    return np.maximum(sample_count, everything + 1)


@found.line("Sichel's factor")
def sichel_factor(closing_sichel):
    """What the geometric mean is multiplied by."""
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
    """None with fewer than two samples, or with one that has no logarithm."""
    mean = np.exp(sample_log_mean) * sichel_factor * one_grade - sample_constant
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    return np.where(usable, mean, np.nan)


@found.line("Middle of the interval, logarithm")
def cox_middle(sample_log_mean, sample_log_variance, sichel_count):
    """Cox."""
    return lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[0]


@found.line("Half-width of the interval, logarithm")
def cox_half(sample_log_mean, sample_log_variance, sichel_count, sample_confidence):
    """Cox, with Student's t."""
    spread = lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[1]
    return spread * quantiles.student_t(sample_confidence, sichel_count - 1)


@found.line("Lower end of the interval for the mean", "grade")
def sample_mean_low(
    cox_middle, cox_half, sample_constant, sample_count, sample_zeros, one_grade
):
    """At the confidence chosen; for few samples the upper end is still too low."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    mean = np.exp(cox_middle - cox_half) * one_grade - sample_constant
    return np.where(usable, mean, np.nan)


@found.line("Upper end of the interval for the mean", "grade")
def sample_mean_high(
    cox_middle, cox_half, sample_constant, sample_count, sample_zeros, one_grade
):
    """At the confidence chosen; for few samples it is still too low."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    mean = np.exp(cox_middle + cox_half) * one_grade - sample_constant
    return np.where(usable, mean, np.nan)


@found.line("Mean used", "grade")
def sample_mean(
    sample_mean_method,
    sample_weighted_mean,
    sample_lognormal_mean,
    sample_count,
    sample_zeros,
):
    """As chosen; the mean by weight where there is no lognormal one."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    wanted = np.logical_and(usable, sample_mean_method == "lognormal")
    return np.where(wanted, sample_lognormal_mean, sample_weighted_mean)


@trust.line("Correlation with normal scores")
def sample_straightness(sample_sorted, sample_score, sample_deviation):
    """1 on a straight line."""
    size = np.sum(sample_deviation, axis=0) * np.sum(
        sample_score * sample_score, axis=0
    )
    product = np.sum(sample_sorted * sample_score, axis=0)
    return np.where(size > 0, product / np.sqrt(np.where(size > 0, size, 1)), 1)


@trust.line("Needed, at 5 %")
def sample_straightness_needed(sample_count, fewest_to_test):
    """Ryan and Joiner."""
    return lognormal.ryan_joiner_critical(np.maximum(sample_count, fewest_to_test))


@trust.line("Lognormal grades are")
def sample_lognormal(
    sample_straightness, sample_straightness_needed, sample_count, fewest_to_test
):
    """With few samples nothing is ever disproved."""
    straight = np.where(
        sample_straightness >= sample_straightness_needed, "credible", "not credible"
    )
    return np.where(sample_count < fewest_to_test, "too few to tell", straight)


@error.line("Grade for the error", "g/tonne")
def sampling_grade(sample_weighted_mean, head_grade, g_per_t_per_grade):
    """Mean by weight, or the grade entered while there is none."""
    grade = np.where(sample_weighted_mean > 0, sample_weighted_mean, head_grade)
    return grade * g_per_t_per_grade


@error.line("Error of one sample", "share")
def one_sample_error(
    sample_mass,
    sampling_grade,
    sample_top_size,
    sample_gold_size,
    sample_liberation_exponent,
):
    """Relative standard deviation, by Gy; never below what grains allow."""
    return sampling.sampling_error(
        sample_mass,
        sampling_grade,
        sample_top_size,
        sample_gold_size,
        sample_liberation_exponent,
    )


@error.line("Mass that would halve it", "g")
def mass_to_halve_error(sample_mass):
    """Four times the mass halves the error."""
    return sampling.mass_to_reduce(sample_mass)
