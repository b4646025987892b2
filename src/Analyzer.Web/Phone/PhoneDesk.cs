using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Phone;

/// <summary>Photos from a phone: off unless switched on, then one open door at a time for ten minutes and one device.</summary>
internal sealed class PhoneDesk(Workbench workbench) : IAsyncDisposable
{
    private readonly SemaphoreSlim _one = new(1);
    private PhoneDoor? _door;

    /// <summary>The open door, or null.</summary>
    public PhoneDoor? Door => _door is { IsOpen: true } door ? door : null;

    /// <summary>Addresses of this computer in private networks (RFC 1918) and of no other kind.</summary>
    public IReadOnlyList<IPAddress> Addresses => workbench.Options.PhoneAddress is { } told ? [told] : [.. OwnPrivateAddresses()];

    /// <exception cref="FormatException">No home network, or no such address; one sentence.</exception>
    public async Task<PhoneDoor> Open(BlockChoice choice, string? address)
    {
        IReadOnlyList<IPAddress> own = Addresses;
        if (own.Count == 0) throw new FormatException("This computer is in no home network that a phone could reach; connect it to the same Wi-Fi as the phone, or copy the photo over by cable.");
        IPAddress chosen = own[0];
        if (!string.IsNullOrEmpty(address)) chosen = own.FirstOrDefault(a => a.ToString() == address) ?? throw new FormatException("This is not an address of this computer in a home network; choose one of those offered.");
        await _one.WaitAsync();
        try
        {
            if (_door is { } before) await before.DisposeAsync();
            return _door = await PhoneDoor.Open(workbench, choice, chosen);
        }
        catch (Exception trouble) when (trouble is IOException or SocketException)
        {
            throw new FormatException("The door for the phone could not be opened on this network; another program or a firewall keeps it shut.", trouble);
        }
        finally
        {
            _one.Release();
        }
    }

    public async Task Close()
    {
        await _one.WaitAsync();
        try
        {
            if (_door is { } door) await door.DisposeAsync();
            _door = null;
        }
        finally
        {
            _one.Release();
        }
    }

    public async ValueTask DisposeAsync()
    {
        await Close();
        _one.Dispose();
    }

    private static IEnumerable<IPAddress> OwnPrivateAddresses()
    {
        NetworkInterface[] all;
        try
        {
            all = NetworkInterface.GetAllNetworkInterfaces();
        }
        catch (NetworkInformationException)
        {
            return [];
        }
        return all.Where(i => i.OperationalStatus == OperationalStatus.Up && i.NetworkInterfaceType != NetworkInterfaceType.Loopback)
            .SelectMany(i => i.GetIPProperties().UnicastAddresses).Select(a => a.Address).Where(IsPrivate).Distinct();
    }

    /// <summary>RFC 1918, section 3: 10/8, 172.16/12, 192.168/16.</summary>
    public static bool IsPrivate(IPAddress address)
    {
        if (address.AddressFamily != AddressFamily.InterNetwork) return false;
        byte[] b = address.GetAddressBytes();
        return b[0] == 10 || (b[0] == 172 && b[1] is >= 16 and <= 31) || (b[0] == 192 && b[1] == 168);
    }
}
